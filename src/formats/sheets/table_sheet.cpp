#include "formats/sheets/table_sheet.h"

#include <fmt/format.h>
#include <map>

#include "formats/sheets/schema.h"
#include "formats/sheets/table_parts.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

constexpr std::array<Word<bool>, 2> kLayouts{{{"row-major", false}, {"column-major", true}}};

std::vector<std::size_t> read_shape(Fields& fields) {
    std::vector<std::size_t> shape;
    const Node* node = fields.take("shape");
    if (!node) return shape;
    if (node->kind != Node::Kind::list) {
        fields.report("shape", fmt::format("must be a list such as [16, 12], found {}", kind_words(*node)));
        return shape;
    }
    if (node->items.size() > 2)
        fields.report("shape", fmt::format("must have two dimensions at most, found {}", node->items.size()));
    for (const Node& size : node->items) {
        if (size.kind != Node::Kind::whole || size.whole < 1 || size.whole > kMostPoints) {
            fields.report("shape",
                          fmt::format("must hold whole numbers from 1 to {}, found {}", kMostPoints, shown(size)));
            return shape;
        }
        shape.push_back(static_cast<std::size_t>(size.whole));
    }
    return shape;
}

void read_bounds(Fields& fields, TableDescription& table) {
    table.min = fields.any_number("min");
    table.max = fields.any_number("max");
    if (table.min && table.max && *table.min > *table.max)
        fields.report("max", fmt::format("must not be below min {}, found {}", *table.min, *table.max));
}

void read_axes(Fields& fields, TableDescription& table, const SharedAxes& shared, std::optional<ByteOrder> order,
               Trouble& trouble) {
    const std::span<const Node> nodes = fields.tables("axis");
    if (trouble.found()) return;
    if (nodes.size() != table.shape.size()) {
        trouble.report(fields.at("shape"), fmt::format("table {} needs one [[table.axis]] per dimension of shape, "
                                                       "{} in all, found {}",
                                                       quoted(table.name), table.shape.size(), nodes.size()));
        return;
    }
    for (std::size_t i = 0; i < nodes.size(); ++i)
        table.axes.push_back(read_table_axis(nodes[i], table.shape[i], shared, order, trouble));
}

/// The address space ends at 4 GiB: beyond it a control unit has no memory, and sums of addresses stay exact.
void check_end(Fields& fields, const TableDescription& table) {
    if (table.address + table.cells() * size_of(table.coding.type) > static_cast<std::uint64_t>(kTopAddress) + 1)
        fields.report("address", fmt::format("leaves no room for {} cells below {:#x}, found {:#x}", table.cells(),
                                             kTopAddress, table.address));
}

TableDescription read_table(const Node& node, const SharedAxes& shared, std::optional<ByteOrder> order,
                            Trouble& trouble) {
    Fields fields(node, "table", trouble);
    TableDescription table;
    table.place = trouble.place(node.at);
    table.name = fields.need_text("name");
    table.quantity = fields.need_channel("quantity");
    table.address = read_address(fields);
    table.coding = read_coding(fields, order);
    read_bounds(fields, table);
    table.shape = read_shape(fields);
    table.column_major = fields.choice("layout", kLayouts).value_or(false);
    read_axes(fields, table, shared, order, trouble);
    fields.finish();
    if (!trouble.found()) check_end(fields, table);
    return table;
}

std::vector<TableDescription> read_tables(std::span<const Node> nodes, const SharedAxes& shared,
                                          std::optional<ByteOrder> order, Trouble& trouble) {
    std::vector<TableDescription> tables;
    std::map<std::string, std::size_t> lines;
    for (const Node& node : nodes) {
        tables.push_back(read_table(node, shared, order, trouble));
        if (trouble.found()) return tables;
        const auto [earlier, fresh] = lines.emplace(tables.back().name, node.at.line);
        if (!fresh)
            trouble.report(node.find("name")->at, fmt::format("table.name must be unique, found {} again after line {}",
                                                              quoted(earlier->first), earlier->second));
    }
    return tables;
}

}  // namespace

Result<Description> read_table_sheet(std::string_view text, const std::string& file) {
    const Result<Node> root = read_document(text, file);
    if (!root) return tl::unexpected(root.error());
    Trouble trouble(file);
    Fields sheet(*root, "", trouble);
    read_schema(sheet, "revwright.tables/1");
    const auto order = read_byte_order(sheet);
    const SharedAxes shared = read_shared_axes(sheet.tables("axis"), order, trouble);
    Description description{.file = file};
    if (sheet.need("table")) description.tables = read_tables(sheet.tables("table"), shared, order, trouble);
    sheet.finish();
    if (!trouble.found()) check_overlaps(description, shared, trouble);
    if (trouble.found()) return tl::unexpected(trouble.error());
    return description;
}

}  // namespace revwright::sheets
