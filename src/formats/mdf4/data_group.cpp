#include "formats/mdf4/data_group.h"

#include <algorithm>
#include <fmt/format.h>

#include "core/unit.h"
#include "formats/mdf4/finish.h"
#include "formats/mdf4/group_decoder.h"
#include "formats/mdf4/record_stream.h"

namespace revwright::mdf4 {
namespace {

// Our choice: records without bytes, of virtual channels alone, cannot be counted in the file.
constexpr std::uint64_t kMostRowsWithoutBytes = 1'000'000;
// Records of mixed streams are gathered before they are turned into columns.
constexpr std::size_t kGatheredBytes = 16 * 1024;

std::string plural(std::uint64_t count, const char* one) {
    return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

}  // namespace

/// The reading of one data group.
class DataGroupReader::Work {
public:
    Work(DataGroupReader& reader, const DataGroupPlan& plan, GroupStreams& streams)
        : pieces_(reader.pieces_),
          unfinished_(reader.unfinished_),
          budget_(reader.budget_),
          lost_(reader.lost_),
          plan_(plan),
          streams_(streams) {}

    std::vector<ReadGroup> run() {
        for (const GroupPlan& group : plan_.groups)
            if (!group.vlsd) decoders_.emplace_back(group, streams_.records.apart, budget_, lost_);
        if (afford()) plan_.id_bytes > 0 ? read_mixed() : read_even();
        std::vector<ReadGroup> groups;
        for (GroupDecoder& decoder : decoders_)
            if (!decoder.plan().skipped && !decoder.refused()) groups.push_back(finish(decoder));
        return groups;
    }

private:
    bool afford() {
        std::uint64_t length = streams_.records.length() + streams_.records.invalid_length();
        for (const auto& [link, texts] : streams_.texts) length += texts.length();
        if (length > budget_.stream) {
            lost_.add(fmt::format(
                "the data of {} inflate to {} bytes, more than a file of this size can mean; they are left out",
                label(), length));
            return false;
        }
        budget_.stream -= length;
        return true;
    }

    std::string label() const { return plan_.groups.empty() ? "a data group" : plan_.groups[0].label(); }

    void give(const std::vector<Piece>& pieces, const std::string& whose, const PieceReader::Taker& take) {
        if (const auto given = pieces_.each(pieces, take); !given)
            lost_.add(fmt::format("the data of {} are lost from byte {} on: {}", whose,
                                  given.error().place->byte.value_or(0), given.error().what));
    }

    // ---- one kind of record ----

    void read_even() {
        GroupDecoder* only = nullptr;
        for (GroupDecoder& decoder : decoders_) {
            if (decoder.plan().cycles == 0 && decoders_.size() > 1) continue;
            if (only != nullptr) {
                lost_.add(fmt::format("{} and {} share one stream without record ids; they are left out",
                                      only->plan().label(), decoder.plan().label()));
                for (GroupDecoder& each : decoders_) each.columns.clear();
                return;
            }
            only = &decoder;
        }
        if (only == nullptr || only->plan().skipped) return;
        const GroupPlan& group = only->plan();
        const std::uint64_t stride = streams_.records.apart ? group.data_bytes : group.record_bytes();
        if (stride == 0) return read_without_bytes(*only);
        const std::uint64_t there = streams_.records.length() / stride;
        const std::uint64_t rows = rows_of(group, there);
        if (!only->expect(rows)) return;
        EvenRecords records(stride,
                            [&](const std::uint8_t* first, std::size_t count) { only->take(first, stride, count); });
        give(streams_.records.values, group.label(), [&](std::span<const std::uint8_t> piece) {
            records.feed(piece);
            return only->rows() < rows;
        });
        if (streams_.records.apart && group.invalidation_bytes > 0) read_invalid(*only);
        only->close(0);
    }

    std::uint64_t rows_of(const GroupPlan& group, std::uint64_t there) {
        if (group.cycles == there) return there;
        if (unfinished_.cycles) {
            lost_.add(fmt::format("the file was not finished: the {} of {} are counted from the data",
                                  plural(there, "record"), group.label()));
            return there;
        }
        if (group.cycles == 0) {
            lost_.add(fmt::format("{} says that it holds no records; the {} in its data are read", group.label(),
                                  plural(there, "record")));
            return there;
        }
        if (group.cycles > there)
            lost_.add(fmt::format("{} should hold {}; only {} {} in the file", group.label(),
                                  plural(group.cycles, "record"), there, there == 1 ? "is" : "are"));
        return std::min(group.cycles, there);
    }

    void read_without_bytes(GroupDecoder& decoder) {
        const std::uint64_t rows = std::min(decoder.plan().cycles, kMostRowsWithoutBytes);
        if (rows < decoder.plan().cycles)
            lost_.add(fmt::format("{} says that it holds {} without a byte; {} are read", decoder.plan().label(),
                                  plural(decoder.plan().cycles, "record"), rows));
        if (decoder.expect(rows)) decoder.close(rows);
    }

    void read_invalid(GroupDecoder& decoder) {
        DataPieces& data = streams_.records;
        const GroupPlan& group = decoder.plan();
        for (Piece& piece : data.invalid)
            if (piece.kind == Piece::Kind::zeros)
                piece.length = data.values[piece.at].length / group.data_bytes * group.invalidation_bytes;
        EvenRecords bits(group.invalidation_bytes,
                         [&](const std::uint8_t* first, std::size_t count) { decoder.take_invalid(first, count); });
        give(data.invalid, group.label(), [&](std::span<const std::uint8_t> piece) {
            bits.feed(piece);
            return true;
        });
    }

    // ---- several kinds of record ----

    struct Receiver {
        GroupDecoder* decoder = nullptr;
        SignalTexts* texts = nullptr;
        std::vector<std::uint8_t> gathered = {};
        std::uint64_t met = 0;
    };

    void read_mixed() {
        std::map<std::uint64_t, RecordShape> shapes;
        std::vector<Receiver> receivers = receivers_of(shapes);
        std::vector<std::uint64_t> there(receivers.size());
        if (unfinished_.cycles) {
            MixedRecords counter(plan_.id_bytes, shapes, [&](std::size_t i, auto) { ++there[i]; });
            give(streams_.records.values, label(), [&](auto piece) { return counter.feed(piece); });
            lost_.add(fmt::format("the file was not finished: the records of {} are counted from the data", label()));
        }
        for (std::size_t i = 0; i < receivers.size(); ++i) {
            GroupDecoder* const decoder = receivers[i].decoder;
            if (decoder == nullptr) continue;
            const std::uint64_t most = streams_.records.length() / (plan_.id_bytes + decoder->plan().record_bytes());
            if (!decoder->expect(unfinished_.cycles ? there[i] : std::min(decoder->plan().cycles, most)))
                receivers[i].decoder = nullptr;
        }
        MixedRecords records(plan_.id_bytes, shapes, [&](std::size_t i, std::span<const std::uint8_t> record) {
            receive(receivers[i], record);
        });
        give(streams_.records.values, label(),
             [&](std::span<const std::uint8_t> piece) { return records.feed(piece); });
        if (records.lost_track())
            lost_.add(fmt::format("the data of {} are lost from the first record with the unknown id {} on", label(),
                                  records.unknown_id()));
        for (Receiver& receiver : receivers) close(receiver);
    }

    std::vector<Receiver> receivers_of(std::map<std::uint64_t, RecordShape>& shapes) {
        std::vector<Receiver> receivers;
        const auto referenced = [&](std::uint64_t at) {
            return std::ranges::any_of(decoders_, [&](const GroupDecoder& decoder) {
                return std::ranges::any_of(decoder.columns,
                                           [&](const Column& column) { return column.plan().data == at; });
            });
        };
        std::size_t next = 0;
        for (const GroupPlan& group : plan_.groups) {
            Receiver receiver;
            if (group.vlsd && referenced(group.at))
                receiver.texts = &texts_.try_emplace(group.at, budget_.texts).first->second;
            if (!group.vlsd) receiver.decoder = &decoders_[next++];
            if (receiver.decoder != nullptr && group.skipped) receiver.decoder = nullptr;
            const RecordShape shape{.bytes = group.record_bytes(), .text = group.vlsd, .receiver = receivers.size()};
            if (!shapes.emplace(group.record_id, shape).second)
                lost_.add(fmt::format("{} has the record id {} of another group; it is left out", group.label(),
                                      group.record_id));
            receivers.push_back(std::move(receiver));
        }
        return receivers;
    }

    void receive(Receiver& receiver, std::span<const std::uint8_t> record) {
        ++receiver.met;
        if (receiver.texts != nullptr) receiver.texts->add(record);
        if (receiver.decoder == nullptr || record.empty()) return;
        receiver.gathered.insert(receiver.gathered.end(), record.begin(), record.end());
        if (receiver.gathered.size() >= kGatheredBytes) flush(receiver);
    }

    static void flush(Receiver& receiver) {
        const std::size_t stride = receiver.decoder->plan().record_bytes();
        if (stride > 0) receiver.decoder->take(receiver.gathered.data(), stride, receiver.gathered.size() / stride);
        receiver.gathered.clear();
    }

    void close(Receiver& receiver) {
        if (receiver.decoder == nullptr) return;
        flush(receiver);
        const GroupPlan& group = receiver.decoder->plan();
        receiver.decoder->close(receiver.met);
        if (!unfinished_.cycles && receiver.met < group.cycles)
            lost_.add(fmt::format("{} should hold {}; only {} {} in the file", group.label(),
                                  plural(group.cycles, "record"), receiver.met, receiver.met == 1 ? "is" : "are"));
        if (!unfinished_.cycles && group.cycles < receiver.met)
            lost_.add(fmt::format("{} should hold {}; further {} in its data are left out", group.label(),
                                  plural(group.cycles, "record"), receiver.met - group.cycles));
    }

    // ---- what comes out ----

    ReadGroup finish(GroupDecoder& decoder) {
        const GroupPlan& group = decoder.plan();
        ReadGroup found{.plan = &group, .rows = decoder.rows()};
        const auto time = decoder.time_column();
        for (std::size_t i = 0; i < decoder.columns.size() && found.rows > 0; ++i) {
            Column& column = decoder.columns[i];
            if (i == time) {
                const auto to_seconds = conversion(column.plan().unit, "s");
                if (to_seconds && !to_seconds->is_identity())
                    std::ranges::transform(column.values, column.values.begin(), *to_seconds);
                found.time = std::move(column.values);
                continue;
            }
            const SignalSource source = source_of(column);
            found.channels.push_back(finish_column(std::move(column), group, source, budget_.texts, lost_));
        }
        return found;
    }

    SignalSource source_of(const Column& column) {
        if (column.kind() != Column::Kind::offset) return {};
        const std::uint64_t link = column.plan().data;
        const bool of_group =
            std::ranges::any_of(plan_.groups, [&](const GroupPlan& group) { return group.at == link; });
        if (!of_group && !texts_.contains(link)) read_texts(link, column.plan().name);
        const auto found = texts_.find(link);
        if (found == texts_.end()) return {};
        return {.texts = &found->second, .by_index = of_group && unfinished_.text_offsets};
    }

    /// A stream of lengths and texts (SD).
    void read_texts(std::uint64_t link, const std::string& name) {
        const auto stream = streams_.texts.find(link);
        if (stream == streams_.texts.end()) return;
        SignalTexts& texts = texts_.try_emplace(link, budget_.texts).first->second;
        // Lengths and texts are what a mixed stream holds of its one kind of record, without an id.
        MixedRecords records(0, {{0, {.text = true}}},
                             [&](std::size_t, std::span<const std::uint8_t> text) { texts.add(text); });
        give(stream->second.values, "channel " + name,
             [&](std::span<const std::uint8_t> piece) { return records.feed(piece); });
    }

    PieceReader& pieces_;
    const Unfinished& unfinished_;
    Budget& budget_;
    Lost& lost_;
    const DataGroupPlan& plan_;
    GroupStreams& streams_;
    std::vector<GroupDecoder> decoders_;
    std::map<std::uint64_t, SignalTexts> texts_;  // by the link of the channel that has them
};

std::vector<ReadGroup> DataGroupReader::read(const DataGroupPlan& plan, GroupStreams& streams) {
    return Work(*this, plan, streams).run();
}

}  // namespace revwright::mdf4
