#include "app/channel_sheets.h"

#include <algorithm>
#include <fmt/format.h>
#include <string>
#include <system_error>
#include <vector>

#include "app/files.h"
#include "formats/sheets/channel_sheet.h"
#include "formats/sheets/channel_sheet_writer.h"
#include "naming/claims.h"

namespace revwright::app {
namespace {

using Path = std::filesystem::path;

/// How a sheet goes with a log.
struct Fit {
    std::size_t found = 0;             // of its names, the time's aside
    std::vector<std::string> missing;  // of those that are not optional
};

Fit fit_of(const ChannelSheet& sheet, const Log& log) {
    Fit fit;
    for (const ChannelRule& rule : sheet.channels) {
        if (rule.is.signal == Signal::time_s && !rule.none_of_ours) continue;  // the log's clock, no longer a channel
        const bool there =
            std::ranges::any_of(log.channels, [&](const Channel& channel) { return is_named(channel, rule.name); });
        if (there)
            ++fit.found;
        else if (!rule.optional && !rule.none_of_ours)
            fit.missing.push_back(rule.name);
    }
    return fit;
}

Result<std::vector<Path>> sheets_in(const Path& folder) {
    std::vector<Path> files;
    std::error_code error;
    for (std::filesystem::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error))
        if (entry->path().extension() == ".toml") files.push_back(entry->path());
    if (error)
        return fail(Fault::io, fmt::format("the folder cannot be read: {}", error.message()), Place{folder.string()});
    std::ranges::sort(files);
    return files;
}

/// Most of its names are there, and some are not: worth a word, since its user would wonder.
void say_nearest(const ChannelSheet& sheet, const Fit& fit, Log& log) {
    if (fit.found <= fit.missing.size()) return;
    log.lost.push_back(fmt::format("the channel sheet {} was not used: the log has no channel {}", sheet.file,
                                   fmt::join(fit.missing, ", ")));
}

}  // namespace

Result<ChannelSheet> open_channel_sheet(const Path& file) {
    const auto text = read_text(file);
    if (!text) return tl::unexpected(text.error());
    return sheets::read_channel_sheet(*text, file.string());
}

Result<std::optional<ChannelSheet>> fitting_channel_sheet(const Path& folder, Log& log) {
    const auto files = sheets_in(folder);
    if (!files) return tl::unexpected(files.error());
    std::optional<ChannelSheet> best, nearest;
    Fit best_fit, nearest_fit;
    std::string as_good;
    for (const Path& file : *files) {
        auto sheet = open_channel_sheet(file);
        if (!sheet) return tl::unexpected(sheet.error());
        Fit fit = fit_of(*sheet, log);
        if (!fit.missing.empty()) {
            if (!nearest || fit.found > nearest_fit.found) nearest = std::move(*sheet), nearest_fit = std::move(fit);
        } else if (fit.found > best_fit.found) {
            best = std::move(*sheet), best_fit = std::move(fit), as_good.clear();
        } else if (best && fit.found == best_fit.found) {
            as_good = sheet->file;
        }
    }
    if (!as_good.empty())
        return refuse(fmt::format("the channel sheets {} and {} fit as well, expected one: say which with --channels",
                                  best->file, as_good),
                      Place{log.file});
    if (!best && nearest) say_nearest(*nearest, nearest_fit, log);
    return best;
}

Result<void> save_channel_sheet(const Log& log, const Path& file) {
    std::error_code error;
    if (std::filesystem::exists(file, error))
        return fail(Fault::conflict,
                    "the file is there already, and what a user wrote in it is not to be lost: name another",
                    Place{file.string()});
    return write_file(file, sheets::write_channel_sheet(log));
}

}  // namespace revwright::app
