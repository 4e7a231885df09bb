#include "app/open_log.h"

#include "app/files.h"
#include "formats/csv/reader.h"
#include "formats/sheets/channel_sheet.h"
#include "naming/naming.h"

namespace revwright::app {

using Path = std::filesystem::path;

Result<Log> open_log(const Path& file, const std::optional<Path>& channel_sheet) {
    std::optional<ChannelSheet> sheet;
    if (channel_sheet) {
        auto text = read_text(*channel_sheet);
        if (!text) return tl::unexpected(text.error());
        auto read = sheets::read_channel_sheet(*text, channel_sheet->string());
        if (!read) return tl::unexpected(read.error());
        sheet = std::move(*read);
    }
    auto text = read_text(file);
    if (!text) return tl::unexpected(text.error());
    auto log = csv::read(*text, file.string());
    if (!log) return log;
    std::string().swap(*text);  // the samples are decoded; the text would only double the memory
    return name_channels(std::move(*log), sheet ? &*sheet : nullptr);
}

}  // namespace revwright::app
