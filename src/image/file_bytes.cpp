#include "image/file_bytes.h"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

#include "core/hex.h"
#include "image/layout.h"

namespace revwright {
namespace {

bool is_lower(char c) { return c >= 'a' && c <= 'f'; }
bool is_upper(char c) { return c >= 'A' && c <= 'F'; }

/// The digits of the case that the text uses; the usual capitals where it has
/// no letter.
std::string_view digits_of(std::string_view text, std::string_view otherwise) {
    if (std::ranges::any_of(text, is_lower)) return "0123456789abcdef";
    return std::ranges::any_of(text, is_upper) ? "0123456789ABCDEF" : otherwise;
}

void write_byte(std::string& text, std::size_t at, std::uint8_t byte, std::string_view digits) {
    text[at] = digits[byte >> 4];
    text[at + 1] = digits[byte & 15];
}

/// Writes the record anew where its bytes changed.
void rewrite(const DataRecord& record, const Image& image, std::string_view file_digits, std::string& text) {
    const std::size_t offset = *image.offset_of(record.address, record.data.size());
    const auto now = image.bytes.begin() + static_cast<std::ptrdiff_t>(offset);
    if (std::equal(record.data.begin(), record.data.end(), now)) return;
    const std::string_view digits =
        digits_of(std::string_view(text).substr(record.first_at, record.proof_at + 2 - record.first_at), file_digits);
    for (std::size_t i = 0; i < record.data.size(); ++i)
        if (const std::uint8_t byte = image.bytes[offset + i]; byte != record.data[i])
            write_byte(text, record.data_at + 2 * i, byte, digits);
    const std::string_view counted = std::string_view(text).substr(record.first_at, record.proof_at - record.first_at);
    write_byte(text, record.proof_at, proof_of(*bytes_from_hex(counted), image.records->proof), digits);
}

}  // namespace

Result<Image> image_of_records(RecordFile records, std::string file) {
    std::vector<const DataRecord*> rising;
    for (const DataRecord& record : records.records) rising.push_back(&record);
    std::ranges::stable_sort(rising, {}, &DataRecord::address);
    Image image{.file = std::move(file)};
    for (const DataRecord* record : rising) {
        const bool first = image.segments.empty();
        const std::uint64_t end = first ? 0 : image.segments.back().address + image.segments.back().length;
        if (!first && record->address < end)
            return refuse(fmt::format("expected each address once, found {} again", address_text(record->address)),
                          Place{image.file, record->line, 0});
        if (first || record->address > end) image.segments.push_back({record->address, image.bytes.size(), 0});
        image.segments.back().length += record->data.size();
        image.bytes.insert(image.bytes.end(), record->data.begin(), record->data.end());
    }
    if (!image.segments.empty()) image.base_address = image.segments.front().address;
    const auto* text = reinterpret_cast<const std::uint8_t*>(records.text.data());
    image.digest = sha256({text, records.text.size()});
    image.records = std::make_shared<const RecordFile>(std::move(records));
    return image;
}

std::vector<std::uint8_t> file_bytes(const Image& image) {
    if (!image.records) return image.bytes;
    std::string text = image.records->text;
    const std::string_view file_digits = digits_of(text, "0123456789ABCDEF");
    for (const DataRecord& record : image.records->records) rewrite(record, image, file_digits, text);
    return {text.begin(), text.end()};
}

}  // namespace revwright
