#include "formats/ihex/reader.h"

#include <fmt/format.h>
#include <optional>
#include <span>
#include <string_view>

#include "core/hex.h"
#include "core/text_lines.h"

namespace revwright::ihex {
namespace {

constexpr std::size_t kBytesBesideData = 5;  // length, address (2), type, checksum
constexpr std::uint64_t kSegmentBytes = 0x10000;

enum class Type : std::uint8_t { data = 0, end = 1, segment = 2, start_segment = 3, linear = 4, start_linear = 5 };

class Reader {
public:
    Reader(std::string text, const std::string& file) : file_(file) { found_.text = std::move(text); }

    Result<RecordFile> run() {
        TextLines lines(found_.text);
        while (const auto line = lines.next()) {
            line_ = *line;
            if (auto error = take(line->text)) return tl::unexpected(*std::move(error));
        }
        if (!ended_)
            return refuse("expected an end record (:00000001FF), found the end of the file; it may have been cut",
                          Place{file_, lines.passed(), 0});
        if (found_.records.empty()) return refuse("expected records that hold data, found none", Place{file_});
        return std::move(found_);
    }

private:
    Error error(std::size_t column, std::string what) const {
        return {Fault::bad_input, std::move(what), Place{file_, line_.number, column}};
    }

    std::optional<Error> take(std::string_view record) {
        if (ended_) return error(1, "expected nothing after the end record, found another line");
        if (record.front() != ':')
            return error(1, fmt::format("expected a colon, with which each record of Intel HEX begins, found {}",
                                        character_text(record.front())));
        const auto bytes = bytes_from_hex(record.substr(1));
        if (!bytes) return error(2, "expected pairs of hexadecimal digits after the colon, found something else");
        if (bytes->size() < kBytesBesideData || bytes->size() != (*bytes)[0] + kBytesBesideData)
            return error(2, fmt::format("expected a record of {} bytes as its first byte says, found {}",
                                        (bytes->empty() ? 0 : (*bytes)[0]) + kBytesBesideData, bytes->size()));
        const std::uint8_t proof = proof_of(std::span(*bytes).first(bytes->size() - 1), found_.proof);
        if (bytes->back() != proof)
            return error(record.size() - 1,
                         fmt::format("expected the checksum {:02X}, found {:02X}", proof, bytes->back()));
        return understand(*bytes);
    }

    std::optional<Error> understand(const std::vector<std::uint8_t>& bytes) {
        const std::uint64_t value = bytes.size() >= 7 ? static_cast<std::uint64_t>(bytes[4]) << 8 | bytes[5] : 0;
        const auto needs = [&](std::size_t length) -> std::optional<Error> {
            if (bytes[0] == length) return std::nullopt;
            return error(2, fmt::format("expected {} bytes of data in a record of type {:02X}, found {}", length,
                                        bytes[3], bytes[0]));
        };
        switch (static_cast<Type>(bytes[3])) {
            case Type::data:
                return add_data(bytes);
            case Type::end:
                ended_ = true;
                return needs(0);
            case Type::segment:
                base_ = value << 4;
                return needs(2);
            case Type::linear:
                base_ = value << 16;
                return needs(2);
            case Type::start_segment:
            case Type::start_linear:
                return needs(4);
        }
        return error(8, fmt::format("expected a record of type 00 to 05, found {:02X}", bytes[3]));
    }

    std::optional<Error> add_data(const std::vector<std::uint8_t>& bytes) {
        const std::uint64_t within = static_cast<std::uint64_t>(bytes[1]) << 8 | bytes[2];
        if (within + bytes[0] > kSegmentBytes)
            return error(4, fmt::format("expected data that ends within its 64 KiB, found {} bytes from 0x{:04X}",
                                        bytes[0], within));
        if (bytes[0] == 0) return std::nullopt;
        DataRecord record{.address = base_ + within,
                          .data = {bytes.begin() + 4, bytes.end() - 1},
                          .line = line_.number,
                          .first_at = line_.at + 1,
                          .data_at = line_.at + 9,
                          .proof_at = line_.at + 9 + 2 * static_cast<std::size_t>(bytes[0])};
        found_.records.push_back(std::move(record));
        return std::nullopt;
    }

    const std::string& file_;
    RecordFile found_;
    TextLine line_;
    std::uint64_t base_ = 0;
    bool ended_ = false;
};

}  // namespace

Result<RecordFile> read(std::string text, const std::string& file) { return Reader(std::move(text), file).run(); }

}  // namespace revwright::ihex
