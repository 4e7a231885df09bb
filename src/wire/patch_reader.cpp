#include <charconv>

#include "wire/image_json.h"
#include "wire/member.h"

namespace revwright::wire {
namespace {

std::vector<std::uint8_t> bytes_of(const Member& member) {
    const std::string hex = member.text();
    std::vector<std::uint8_t> bytes(hex.size() / 2);
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const char* two = hex.data() + 2 * i;
        if (std::from_chars(two, two + 2, bytes[i], 16).ptr != two + 2)
            member.refuse_with("must be pairs of hexadecimal digits");
    }
    if (hex.size() % 2 != 0) member.refuse_with("must be pairs of hexadecimal digits");
    return bytes;
}

Patch patch_of(const Member& root) {
    root.expect_schema("revwright.revision/1");
    Patch patch{.parent = root["parent_sha256"].digest(), .child = root["sha256"].digest()};
    root["inverse"].each([&](const Member& entry) {
        patch.entries.push_back({entry["address"].index(), bytes_of(entry["parent"]), bytes_of(entry["child"])});
        if (patch.entries.back().parent.size() != patch.entries.back().child.size())
            entry.refuse_with("must hold as many bytes of the parent as of the child");
    });
    return patch;
}

}  // namespace

Result<Patch> read_patch(std::string_view text, const std::string& file) {
    return read_document<Patch>(text, file, "revision", patch_of);
}

}  // namespace revwright::wire
