#include "formats/srec/reader.h"

#include <fmt/format.h>
#include <optional>
#include <span>
#include <string_view>

#include "core/hex.h"
#include "core/text_lines.h"

namespace revwright::srec {
namespace {

/// Bytes of the address in a record of each type; 0: there is no such record.
constexpr std::size_t kAddressBytes[10] = {2, 2, 3, 4, 0, 2, 3, 4, 3, 2};

class Reader {
public:
    Reader(std::string text, const std::string& file) : file_(file) {
        found_.text = std::move(text);
        found_.proof = RecordProof::ones_complement;
    }

    Result<RecordFile> run() {
        TextLines lines(found_.text);
        while (const auto line = lines.next()) {
            line_ = *line;
            if (auto error = take(line->text)) return tl::unexpected(*std::move(error));
        }
        if (found_.records.empty()) return refuse("expected records that hold data, found none", Place{file_});
        return std::move(found_);
    }

private:
    Error error(std::size_t column, std::string what) const {
        return {Fault::bad_input, std::move(what), Place{file_, line_.number, column}};
    }

    std::optional<Error> take(std::string_view record) {
        if (ended_) return error(1, "expected nothing after the end record, found another line");
        const bool begins = record.size() >= 2 && record[0] == 'S' && record[1] >= '0' && record[1] <= '9';
        if (!begins)
            return error(1, fmt::format("expected S and a digit, with which each S-record begins, found {}",
                                        character_text(record.front())));
        const auto type = static_cast<std::size_t>(record[1] - '0');
        if (kAddressBytes[type] == 0) return error(2, fmt::format("expected S0 to S3 or S5 to S9, found S{}", type));
        const auto bytes = bytes_from_hex(record.substr(2));
        if (!bytes) return error(3, "expected pairs of hexadecimal digits, found something else");
        const std::size_t length = bytes->empty() ? 0 : (*bytes)[0];
        if (bytes->size() != length + 1 || length < kAddressBytes[type] + 1)
            return error(3, fmt::format("expected {} bytes after the first as that says, at least {}, found {}", length,
                                        kAddressBytes[type] + 1, bytes->empty() ? 0 : bytes->size() - 1));
        const std::uint8_t proof = proof_of(std::span(*bytes).first(bytes->size() - 1), found_.proof);
        if (bytes->back() != proof)
            return error(record.size() - 1,
                         fmt::format("expected the checksum {:02X}, found {:02X}", proof, bytes->back()));
        return understand(type, *bytes);
    }

    std::optional<Error> understand(std::size_t type, const std::vector<std::uint8_t>& bytes) {
        const std::size_t wide = kAddressBytes[type];
        std::uint64_t address = 0;
        for (std::size_t i = 1; i <= wide; ++i) address = address << 8 | bytes[i];
        if (type >= 1 && type <= 3) return add_data(wide, address, bytes);
        if ((type == 5 || type == 6) && address != data_records_)
            return error(5, fmt::format("expected a count of {} data records, found {}", data_records_, address));
        ended_ = type >= 7;
        return std::nullopt;
    }

    std::optional<Error> add_data(std::size_t wide, std::uint64_t address, const std::vector<std::uint8_t>& bytes) {
        ++data_records_;
        const std::size_t count = bytes.size() - wide - 2;
        if (count == 0) return std::nullopt;
        const std::uint64_t space = std::uint64_t{1} << (8 * wide);
        if (address + count > space)
            return error(5, fmt::format("expected data that ends within {} bits of address, found {} bytes from 0x{:X}",
                                        8 * wide, count, address));
        DataRecord record{.address = address,
                          .data = {bytes.begin() + 1 + static_cast<std::ptrdiff_t>(wide), bytes.end() - 1},
                          .line = line_.number,
                          .first_at = line_.at + 2,
                          .data_at = line_.at + 4 + 2 * wide,
                          .proof_at = line_.at + 4 + 2 * wide + 2 * count};
        found_.records.push_back(std::move(record));
        return std::nullopt;
    }

    const std::string& file_;
    RecordFile found_;
    TextLine line_;
    std::uint64_t data_records_ = 0;
    bool ended_ = false;
};

}  // namespace

Result<RecordFile> read(std::string text, const std::string& file) { return Reader(std::move(text), file).run(); }

}  // namespace revwright::srec
