#include "formats/sheets/schema.h"

#include <fmt/format.h>

#include "formats/sheets/words.h"

namespace revwright::sheets {

void read_schema(Fields& sheet, std::string_view expected) {
    if (!sheet.has("schema")) {
        sheet.report("schema", fmt::format("is missing, the first line must be schema = \"{}\"", expected));
        return;
    }
    const auto schema = sheet.text("schema");
    if (schema && *schema != expected)
        sheet.report("schema", fmt::format("must be \"{}\", found {}", expected, quoted(*schema)));
}

}  // namespace revwright::sheets
