#include "wire/revision_record.h"

#include "wire/member.h"

namespace revwright::wire {

Result<RevisionRecord> read_record(std::string_view text, const std::string& file) {
    return read_document<RevisionRecord>(text, file, "revision", [](const Member& root) {
        root.expect_schema("revwright.revision/1");
        RevisionRecord record{.parent = root["parent_sha256"].digest(), .own = root["sha256"].digest()};
        root["cells"].each(
            [&](const Member& cell) { record.cells.push_back({cell["table"].text(), cell["by"].text()}); });
        return record;
    });
}

}  // namespace revwright::wire
