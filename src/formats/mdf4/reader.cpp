#include "formats/mdf4/reader.h"

#include <algorithm>
#include <cctype>
#include <fmt/format.h>
#include <iterator>
#include <string_view>

#include "formats/mdf4/assemble.h"
#include "formats/mdf4/data_group.h"

namespace revwright::mdf4 {
namespace {

constexpr std::size_t kIdentificationBytes = 64;

std::string_view chars(std::span<const std::uint8_t> bytes, std::size_t from, std::size_t count) {
    return {reinterpret_cast<const char*>(bytes.data() + from), count};
}

/// Bits of id_unfin_flags. Source: ASAM MDF 4.2, block ID.
Unfinished unfinished_of(std::span<const std::uint8_t> bytes) {
    if (chars(bytes, 0, 8) != "UnFinMF ") return {};
    const auto flags = load<std::uint16_t>(bytes.data() + 60);
    return {.cycles = (flags & 1) != 0,
            .last_length = (flags & 4) != 0,
            .last_list = (flags & 16) != 0,
            .text_bytes = (flags & 32) != 0,
            .text_offsets = (flags & 64) != 0};
}

class Reader {
public:
    Reader(std::span<const std::uint8_t> bytes, const std::string& file, const Workers& workers)
        : bytes_(bytes),
          file_(file),
          workers_(workers),
          blocks_(bytes, file),
          texts_(blocks_),
          conversions_(blocks_, texts_, lost_),
          budget_(bytes.size()) {}

    Result<Log> run() {
        if (auto known = identify(); !known) return tl::unexpected(std::move(known.error()));
        const auto plan = read_plan(blocks_, texts_, conversions_, lost_);
        if (!plan) return tl::unexpected(plan.error());
        auto streams = read_streams(*plan);
        if (!streams) return tl::unexpected(std::move(streams.error()));
        PieceReader pieces(blocks_, workers_);
        DataGroupReader reader(pieces, unfinished_, budget_, lost_);
        std::vector<ReadGroup> groups;
        for (std::size_t i = 0; i < plan->size(); ++i)
            std::ranges::move(reader.read((*plan)[i], (*streams)[i]), std::back_inserter(groups));
        Log log;
        log.file = file_;
        log.format = "mdf4";
        assemble(std::move(groups), log, lost_);
        if (log.channels.empty()) return refuse(nothing_to_read(), Place{file_});
        log.lost = lost_.take();
        return log;
    }

private:
    Result<void> identify() {
        if (bytes_.size() < kIdentificationBytes || !looks_like(bytes_))
            return blocks_.refused(0,
                                   "expected a file that begins with \"MDF\" or \"UnFinMF\" and blanks, found another");
        const auto version = load<std::uint16_t>(bytes_.data() + 28);
        const std::string_view text = chars(bytes_, 8, 1);
        if (version / 100 != 4 && text != "4")
            return blocks_.refused(
                8,
                fmt::format("expected MDF of version 4, found version {}; export the file as MDF 4", version_text()));
        unfinished_ = unfinished_of(bytes_);
        if (chars(bytes_, 0, 8) == "UnFinMF ")
            lost_.add("the file was not finished by its logger; it is read as far as it is whole");
        if (load<std::uint16_t>(bytes_.data() + 62) != 0 && chars(bytes_, 0, 8) == "UnFinMF ")
            lost_.add("the file was not finished in ways only its logger knows");
        return blocks_.claim(0, kIdentificationBytes);
    }

    std::string version_text() const {
        std::string text;
        for (const char c : chars(bytes_, 8, 8))
            if (std::isalnum(static_cast<unsigned char>(c)) || c == '.') text += c;
        return text;
    }

    Result<std::vector<GroupStreams>> read_streams(const std::vector<DataGroupPlan>& plan) {
        DataLists lists(blocks_, lost_, unfinished_);
        std::vector<GroupStreams> streams;
        for (const DataGroupPlan& group : plan) {
            auto records = lists.read(group.data, group.groups.empty() ? "a data group" : group.groups[0].label());
            if (!records) return tl::unexpected(std::move(records.error()));
            streams.push_back({.records = std::move(*records)});
            for (const GroupPlan& part : group.groups)
                for (const ChannelPlan& channel : part.channels)
                    if (auto added = add_texts(channel, streams.back(), lists); !added)
                        return tl::unexpected(std::move(added.error()));
        }
        std::vector<DataPieces*> all;
        for (GroupStreams& each : streams) all.push_back(&each.records);
        if (auto finished = lists.finish(all); !finished) return tl::unexpected(std::move(finished.error()));
        return streams;
    }

    Result<void> add_texts(const ChannelPlan& channel, GroupStreams& streams, DataLists& lists) {
        if (channel.type != ChannelType::vlsd || channel.data == 0 || blocks_.id_at(channel.data) == "CG") return {};
        if (streams.texts.contains(channel.data)) return {};
        auto texts = lists.read(channel.data, "channel " + channel.name);
        if (!texts) return tl::unexpected(std::move(texts.error()));
        streams.texts.emplace(channel.data, std::move(*texts));
        return {};
    }

    std::string nothing_to_read() {
        const std::vector<std::string> lost = lost_.take();
        std::string why;
        for (std::size_t i = 0; i < std::min<std::size_t>(lost.size(), 3); ++i) why += (i == 0 ? ": " : "; ") + lost[i];
        return "expected a group of channels with records, found none" + why;
    }

    std::span<const std::uint8_t> bytes_;
    const std::string& file_;
    const Workers& workers_;
    Unfinished unfinished_;
    Lost lost_;
    Blocks blocks_;
    Texts texts_;
    Conversions conversions_;
    Budget budget_;
};

}  // namespace

bool looks_like(std::span<const std::uint8_t> bytes) {
    return bytes.size() >= 8 && (chars(bytes, 0, 8) == "MDF     " || chars(bytes, 0, 8) == "UnFinMF ");
}

Result<Log> read(std::span<const std::uint8_t> bytes, const std::string& file, const Workers& workers) {
    return Reader(bytes, file, workers).run();
}

}  // namespace revwright::mdf4
