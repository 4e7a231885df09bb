#include "formats/sheets/channel_sheet.h"

#include <fmt/format.h>
#include <map>

#include "formats/sheets/field.h"
#include "formats/sheets/schema.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

bool is_pressure(ChannelKey key) {
    const std::string_view unit = info(key.signal).unit;
    return unit == "kPa" || unit == "MPa";
}

/// "bar gauge" is the unit bar and the fact that ambient pressure is missing from it.
void split_gauge(std::string_view text, ChannelRule& rule) {
    constexpr std::string_view kWord = "gauge";
    const bool alone = text.size() == kWord.size();
    const bool gauge = text.ends_with(kWord) && (alone || text[text.size() - kWord.size() - 1] == ' ');
    if (gauge) text.remove_suffix(kWord.size());
    while (text.ends_with(' ')) text.remove_suffix(1);
    rule.unit = std::string(text);
    rule.gauge = gauge;
}

void read_unit(Fields& fields, ChannelRule& rule) {
    const auto unit = fields.text("unit");
    if (!unit) return;
    split_gauge(*unit, rule);
    if (rule.gauge && !is_pressure(rule.is))
        fields.report("unit", fmt::format("may say gauge for a pressure only, found {} for {}", quoted(*unit),
                                          to_string(rule.is)));
}

constexpr double kLeastAirFuel = 6.0, kMostAirFuel = 20.0;  // methanol has 6.4, methane 17.2

/// "AFR" is a unit of lambda only, and needs a ratio: here, or of the job's fuel.
void read_air_fuel(Fields& fields, ChannelRule& rule) {
    const bool is_lambda = rule.is.signal == Signal::lambda || rule.is.signal == Signal::lambda_target;
    if (rule.unit == "AFR" && !is_lambda)
        fields.report("unit", fmt::format("may be \"AFR\" for lambda only, found it for {}", to_string(rule.is)));
    const auto ratio = fields.any_number("air_fuel_stoichiometric");
    if (!ratio) return;
    if (rule.unit != "AFR")
        fields.report("air_fuel_stoichiometric", "belongs beside unit = \"AFR\" only");
    else if (*ratio < kLeastAirFuel || *ratio > kMostAirFuel)
        fields.report("air_fuel_stoichiometric", fmt::format("must be from {} to {}, found {}", plain(kLeastAirFuel),
                                                             plain(kMostAirFuel), plain(*ratio)));
    rule.air_fuel_stoichiometric = *ratio;
}

/// is = "none": the user looked, and it is none of ours.
bool is_none(Fields& fields) {
    const Node* is = fields.take("is");
    return is != nullptr && is->kind == Node::Kind::text && is->text == "none";
}

ChannelRule read_channel(const Node& node, Trouble& trouble) {
    Fields fields(node, "channel", trouble);
    ChannelRule rule;
    rule.where = trouble.place(node.at);
    rule.name = fields.need_text("name");
    rule.optional = fields.flag("optional").value_or(false);
    rule.none_of_ours = is_none(fields);
    if (rule.none_of_ours) {
        fields.finish();
        return rule;
    }
    rule.is = fields.need_channel("is");
    const auto sign = fields.any_number("sign");
    if (sign && *sign != 1.0 && *sign != -1.0)
        fields.report("sign", fmt::format("must be 1 or -1, found {}", plain(*sign)));
    rule.sign = sign.value_or(1.0);
    if (!trouble.found()) read_unit(fields, rule);
    if (!trouble.found()) read_air_fuel(fields, rule);
    rule.before_turbine = fields.flag("before_turbine").value_or(true);
    if (fields.has("before_turbine") && fields.has("is") && rule.is.signal != Signal::exhaust_temp_c)
        fields.report("before_turbine",
                      fmt::format("belongs to exhaust_temp_c only, found beside {}", to_string(rule.is)));
    fields.take("unit");
    fields.take("air_fuel_stoichiometric");
    fields.finish();
    return rule;
}

}  // namespace

Result<ChannelSheet> read_channel_sheet(std::string_view text, const std::string& file) {
    const Result<Node> root = read_document(text, file);
    if (!root) return tl::unexpected(root.error());
    Trouble trouble(file);
    Fields fields(*root, "", trouble);
    read_schema(fields, "revwright.channels/1");
    ChannelSheet sheet{.file = file, .channels = {}};
    std::map<std::string, std::size_t> lines;
    for (const Node& node : fields.tables("channel")) {
        sheet.channels.push_back(read_channel(node, trouble));
        if (trouble.found()) break;
        const auto [earlier, fresh] = lines.emplace(sheet.channels.back().name, node.at.line);
        if (!fresh)
            trouble.report(node.find("name")->at,
                           fmt::format("channel.name must be unique, found {} again after line {}",
                                       quoted(earlier->first), earlier->second));
    }
    fields.finish();
    if (trouble.found()) return tl::unexpected(trouble.error());
    return sheet;
}

}  // namespace revwright::sheets
