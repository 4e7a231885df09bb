#include "wire/card_json.h"

#include "model/cautions.h"
#include "wire/json.h"

namespace revwright::wire {
namespace {

Json lines_json(const std::vector<CardLine>& lines) {
    Json list = Json::array();
    for (const CardLine& line : lines) list.push_back({{"what", line.what}, {"detail", line.detail}});
    return list;
}

Json changes_json(const std::vector<CardTable>& tables) {
    Json list = Json::array();
    for (const CardTable& table : tables) list.push_back({{"table", table.table}, {"cells", table.cells}});
    return list;
}

Json image_json(const CardImage& image) {
    return {{"file", image.file},
            {"bytes", image.bytes},
            {"sha256", to_hex(image.digest)},
            {"standard", image.standard},
            {"since_standard", changes_json(image.since_standard)},
            {"parent_sha256", image.parent ? Json(to_hex(*image.parent)) : Json(nullptr)},
            {"since_parent", changes_json(image.since_parent)},
            {"approved_by", image.approved_by}};
}

Json channels_json(const std::vector<CardChannel>& channels) {
    Json list = Json::array();
    for (const CardChannel& channel : channels)
        list.push_back({{"one_of", channel.channels},
                        {"unit", channel.unit},
                        {"least_hz", number(channel.least_hz)},
                        {"required", channel.required},
                        {"uses", channel.uses}});
    return list;
}

Json lift_json(const std::vector<CardLift>& lifts) {
    Json list = Json::array();
    for (const CardLift& lift : lifts)
        list.push_back({{"what", lift.what}, {"reading", lift.reading}, {"source", lift.source}});
    return list;
}

}  // namespace

std::string card_json(const TechnicianCard& card) {
    Json cautions = Json::array();
    for (const std::string_view caution : kCautions) cautions.push_back(caution);
    return print({{"schema", "revwright.card/1"},
                  {"job", card.job_id},
                  {"title", card.title},
                  {"image", image_json(card.image)},
                  {"in_the_way", card.in_the_way},
                  {"before", lines_json(card.before)},
                  {"adaptations", lines_json(card.adaptations)},
                  {"channels", channels_json(card.channels)},
                  {"place", lines_json(card.place)},
                  {"order", lines_json(card.order)},
                  {"lift_off", lift_json(card.lift)},
                  {"invalid", card.invalid},
                  {"bring_back", card.bring_back},
                  {"run_entry", card.run_entry},
                  {"cautions", std::move(cautions)}});
}

}  // namespace revwright::wire
