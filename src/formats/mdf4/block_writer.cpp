#include "formats/mdf4/block_writer.h"

#include <algorithm>
#include <bit>

namespace revwright::mdf4 {
namespace {

constexpr std::size_t kHead = 24;  // id, reserved, length, number of links

}  // namespace

void BytesOut::integer(std::uint64_t value, std::size_t bytes) {
    for (std::size_t i = 0; i < bytes; ++i) bytes_.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
}

void BytesOut::raw(std::span<const std::uint8_t> more) {
    // One by one: where it sees the length, g++ 12 at -O3 warns of a copy past the end that cannot happen.
    if (more.size() > bytes_.capacity() - bytes_.size())
        bytes_.reserve(std::max(2 * bytes_.size(), bytes_.size() + more.size()));
    for (const std::uint8_t byte : more) bytes_.push_back(byte);
}

void BytesOut::real(double value) { integer(std::bit_cast<std::uint64_t>(value), 8); }

BlockWriter::BlockWriter() {
    BytesOut out(bytes_);
    out.chars("MDF     4.10    revwrght");  // the program's name has eight letters here
    out.zeros(4);
    out.integer(410, 2);
    out.zeros(34);  // reserved, and no flag of an unfinished file
}

BlockWriter::Link BlockWriter::block(std::string_view id, std::span<const Link> links,
                                     std::span<const std::uint8_t> data) {
    BytesOut out(bytes_);
    out.zeros((8 - bytes_.size() % 8) % 8);
    const Link at = bytes_.size();
    out.chars("##");
    out.chars(id);
    out.zeros(4);
    out.integer(kHead + 8 * links.size() + data.size(), 8);
    out.integer(links.size(), 8);
    for (const Link link : links) out.integer(link, 8);
    out.raw(data);
    return at;
}

BlockWriter::Link BlockWriter::text(const std::string& text) {
    const std::string upto_zero = text.substr(0, text.find('\0'));
    const auto known = texts_.find(upto_zero);
    if (known != texts_.end()) return known->second;
    return texts_[upto_zero] = closed_text("TX", upto_zero);
}

BlockWriter::Link BlockWriter::xml(std::string_view text) { return closed_text("MD", text); }

BlockWriter::Link BlockWriter::closed_text(std::string_view id, std::string_view text) {
    std::vector<std::uint8_t> data(text.begin(), text.end());
    data.resize((text.size() / 8 + 1) * 8, 0);  // closed by a zero, filled up to a multiple of eight
    return block(id, {}, data);
}

void BlockWriter::set_link(Link owner, std::size_t index, Link target) {
    for (std::size_t i = 0; i < 8; ++i)
        bytes_[owner + kHead + 8 * index + i] = static_cast<std::uint8_t>(target >> (8 * i));
}

}  // namespace revwright::mdf4
