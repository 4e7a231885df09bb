#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>

#include "core/error.h"
#include "formats/mdf4/blocks.h"

namespace revwright::mdf4 {

/// How the bytes of a string are to be read: data types 6 to 9 of a channel.
enum class Script : std::uint8_t { latin1, utf8, utf16, utf16_big };

/// The text as UTF-8, up to its first zero character. Bytes that are no UTF-8 are taken as Latin-1, halves of UTF-16
/// pairs become U+FFFD.
std::string utf8_of(std::span<const std::uint8_t> bytes, Script script);

/// The texts of TX and MD blocks, of MD the text inside its element TX. Each is read once, however often it is linked.
/// Texts are cut at 64 KiB: no name and no label is longer.
class Texts {
public:
    explicit Texts(Blocks& blocks) : blocks_(blocks) {}
    /// Empty for link 0 and for a text the file is cut before. The string lives as long as this does.
    Result<const std::string*> at(std::uint64_t link);

private:
    Blocks& blocks_;
    std::map<std::uint64_t, std::unique_ptr<const std::string>> known_;
    const std::string none_;
};

}  // namespace revwright::mdf4
