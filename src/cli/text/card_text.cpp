#include "cli/text/card_text.h"

#include <fmt/format.h>

#include "cli/text/cautions.h"
#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

std::string tables_in_words(const std::vector<CardTable>& tables) {
    if (tables.empty()) return "no cell";
    std::string text;
    for (const CardTable& table : tables)
        text += fmt::format("{}{} ({})", text.empty() ? "" : ", ", table.table, count(table.cells, "cell"));
    return text;
}

std::string image_text(const CardImage& image) {
    std::string text =
        fmt::format("Image  {}, {} bytes\n  SHA-256  {}\n", image.file, image.bytes, grouped(image.digest));
    if (image.standard)
        text += "  the standard image\n";
    else
        text += paragraph("changed since the standard image: " + tables_in_words(image.since_standard), 2);
    if (image.parent) {
        std::string line = fmt::format("changed since its parent {}: {}", to_hex(*image.parent).substr(0, 12),
                                       tables_in_words(image.since_parent));
        for (std::size_t i = 0; i < image.approved_by.size(); ++i)
            line += (i == 0 ? "; approved by " : ", ") + image.approved_by[i];
        text += paragraph(line, 2);
    } else if (!image.standard) {
        text += "  no record lies beside it: who approved it is not known here\n";
    }
    return text;
}

std::string lines_text(const std::string& heading, const std::vector<CardLine>& lines, bool numbered = false) {
    std::string text = "\n" + heading + "\n";
    std::size_t number = 0;
    for (const CardLine& line : lines) {
        const std::string sign = numbered ? fmt::format("{}.  ", ++number) : "[ ] ";
        const std::string words = line.detail.empty() ? line.what : line.what + ": " + line.detail;
        const std::string set = paragraph(words, 6);
        text += "  " + sign + set.substr(6);
    }
    return text;
}

std::string lift_text(const std::vector<CardLift>& lifts) {
    Columns columns({"LIFT AT ONCE", "at", ""});
    for (const CardLift& lift : lifts)
        columns.add({lift.what, lift.reading, lift.source.starts_with("job sheet") ? lift.source : ""});
    return "\n" + columns.print(0) + "  Values without a reason are common practice, without a published source.\n";
}

std::string channels_text(const std::vector<CardChannel>& channels) {
    std::string needed, others;
    for (const CardChannel& channel : channels) {
        std::string& list = channel.required ? needed : others;
        list += fmt::format("{}{} ({:g})", list.empty() ? "" : "; ", channel.words, channel.least_hz);
    }
    return "\nLog these channels (in brackets: samples a second, at least; 10 or more is better)\n" +
           paragraph("needed: " + needed, 2) + paragraph("also, else something stays unchecked: " + others, 2);
}

std::string indented(const std::string& block) {
    std::string text;
    for (std::size_t at = 0; at < block.size();) {
        const std::size_t end = std::min(block.find('\n', at), block.size());
        text += "  " + block.substr(at, end - at) + "\n";
        at = end + 1;
    }
    return text;
}

}  // namespace

std::string card_text(const TechnicianCard& card) {
    std::string text = fmt::format("Run card{}: {}\n\n", card.job_id.empty() ? "" : " for job " + card.job_id,
                                   card.title.empty() ? card.job_file : card.title);
    for (const std::string& reason : card.in_the_way) text += paragraph("DO NOT DRIVE THIS IMAGE. " + reason, 0);
    if (!card.in_the_way.empty()) text += "\n";
    text += image_text(card.image) + lift_text(card.lift);
    text += lines_text("Before", card.before) + lines_text("Control unit", card.adaptations);
    text += channels_text(card.channels) + lines_text("Place", card.place);
    text += lines_text("Drive, in this order", card.order, true);
    std::string invalid;
    for (const std::string& reason : card.invalid) invalid += (invalid.empty() ? "" : "; ") + reason;
    text += "\nNot a pull\n" + paragraph(invalid, 2);
    if (card.in_the_way.empty())  // of a run that must not be driven there is nothing to bring back
        text += "\nBring back\n" + paragraph(card.bring_back, 2) + indented(card.run_entry);
    return text + "\n" + cautions();
}

}  // namespace revwright::cli::text
