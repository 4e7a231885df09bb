#include "report/card_html.h"

#include <fmt/format.h>
#include <functional>
#include <map>

#include "draw/svg.h"
#include "model/cautions.h"
#include "report/card_style.h"

namespace revwright::report {
namespace {

std::string escaped(std::string_view text) { return draw::xml_text(text); }

std::string section(std::string_view heading, const std::string& content, std::string_view kind = {}) {
    const std::string attribute = kind.empty() ? std::string() : fmt::format(" class=\"{}\"", kind);
    return fmt::format("<section{}>\n<h2>{}</h2>\n{}</section>\n", attribute, heading, content);
}

std::string item(const CardLine& line) {
    if (line.detail.empty()) return fmt::format("<li>{}</li>\n", escaped(line.what));
    return fmt::format("<li>{}: <span class=\"detail\">{}</span></li>\n", escaped(line.what), escaped(line.detail));
}

std::string list(const std::vector<CardLine>& lines, std::string_view open, std::string_view close) {
    std::string text(open);
    for (const CardLine& line : lines) text += item(line);
    return text + std::string(close);
}

std::string ticked(const std::vector<CardLine>& lines) { return list(lines, "<ul class=\"tick\">\n", "</ul>\n"); }

std::string tables_in_words(const std::vector<CardTable>& tables) {
    if (tables.empty()) return "no cell";
    std::string text;
    for (const CardTable& table : tables)
        text += fmt::format("{}{} ({} {})", text.empty() ? "" : ", ", escaped(table.table), table.cells,
                            table.cells == 1 ? "cell" : "cells");
    return text;
}

std::string digest_html(const Digest& digest) {
    std::string groups;
    const std::string text = grouped(digest);
    for (std::size_t at = 0; at < text.size(); at += 9) groups += fmt::format("<span>{}</span>", text.substr(at, 8));
    return "<code class=\"digest\">" + groups + "</code>";
}

std::string image_html(const CardImage& image) {
    std::string text = fmt::format("<p><strong>{}</strong>, {} bytes, SHA-256 {}</p>\n", escaped(image.file),
                                   image.bytes, digest_html(image.digest));
    if (image.standard)
        text += "<p>The standard image.</p>\n";
    else
        text += fmt::format("<p>Changed since the standard image: {}.</p>\n", tables_in_words(image.since_standard));
    if (image.parent) {
        text += fmt::format("<p>Changed since its parent <code>{}</code>: {}", to_hex(*image.parent).substr(0, 12),
                            tables_in_words(image.since_parent));
        for (std::size_t i = 0; i < image.approved_by.size(); ++i)
            text += (i == 0 ? "; approved by " : ", ") + escaped(image.approved_by[i]);
        text += ".</p>\n";
    } else if (!image.standard) {
        text += "<p>No record lies beside it: who approved it is not known here.</p>\n";
    }
    return section("The image", text, "image");
}

std::string lift_html(const std::vector<CardLift>& lifts) {
    std::string text = "<table>\n";
    std::string reasons;
    for (const CardLift& lift : lifts) {
        text += fmt::format("<tr><td>{}</td><td class=\"number\">{}</td></tr>\n", escaped(lift.what),
                            escaped(lift.reading));
        if (lift.source.starts_with("job sheet"))
            reasons += fmt::format("<small>{}: {}</small>\n", escaped(lift.what), escaped(lift.source));
    }
    return section("Lift at once",
                   text + "</table>\n" + reasons +
                       "<small>Values without a reason are common practice, without a published "
                       "source.</small>\n",
                   "lift");
}

/// "at 4 a second boost pressure, boost target; at 1 ...", the fastest first.
std::string further_channels(const std::vector<CardChannel>& channels) {
    std::map<double, std::string, std::greater<>> by_rate;
    for (const CardChannel& channel : channels) {
        if (channel.required) continue;
        std::string& list = by_rate[channel.least_hz];
        list += (list.empty() ? "" : ", ") + escaped(channel.words);
    }
    std::string text;
    for (const auto& [rate, list] : by_rate)
        text += text.empty() ? fmt::format("at {:g} a second {}", rate, list) : fmt::format("; at {:g} {}", rate, list);
    return text;
}

std::string channels_html(const std::vector<CardChannel>& channels) {
    std::string needed;
    for (const CardChannel& channel : channels)
        if (channel.required)
            needed += fmt::format("<tr><td>{}</td><td class=\"number\">{:g}</td></tr>\n", escaped(channel.words),
                                  channel.least_hz);
    return section(
        "Log these channels",
        "<table>\n<thead><tr><th>without these the run is not cleared</th><th class=\"number\">a second, "
        "at least</th></tr></thead>\n" +
            needed + "</table>\n<p class=\"note\">Also, else something stays unchecked: " + further_channels(channels) +
            ".</p>\n<p class=\"note\">10 a second or more is better for all; from 20 on the delay of the "
            "lambda probe can be told.</p>\n");
}

std::string invalid_html(const std::vector<std::string>& reasons) {
    std::string text = "<ul class=\"plain\">\n";
    for (const std::string& reason : reasons) text += fmt::format("<li>{}</li>\n", escaped(reason));
    return section("Not a pull", text + "</ul>\n");
}

std::string halt_html(const std::vector<std::string>& reasons) {
    if (reasons.empty()) return "";
    std::string text;
    for (const std::string& reason : reasons) text += fmt::format("<p>{}</p>\n", escaped(reason));
    return section("Do not drive this image", text, "halt");
}

std::string cautions_html() { return "<p class=\"cautions\">" + escaped(cautions_paragraph()) + "</p>\n"; }

}  // namespace

std::string card_html(const TechnicianCard& card) {
    const std::string title = card.title.empty() ? card.job_file : card.title;
    std::string text = fmt::format(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>Run card: {0}</title>\n"
        "<style>{1}</style>\n</head>\n<body>\n<header><h1>{0}</h1><p>Run card{2}</p></header>\n",
        escaped(title), kCardStyle, card.job_id.empty() ? "" : ", job " + escaped(card.job_id));
    text += halt_html(card.in_the_way) + image_html(card.image) + "<div class=\"columns\">\n<div>\n";
    text += section("Before", ticked(card.before));
    text += section("Control unit", ticked(card.adaptations));
    text += section("Place", ticked(card.place));
    text += section("Drive, in this order", list(card.order, "<ol>\n", "</ol>\n"));
    text += "</div>\n<div>\n" + lift_html(card.lift) + channels_html(card.channels) + invalid_html(card.invalid);
    text += "</div>\n</div>\n";
    if (card.in_the_way.empty())  // of a run that must not be driven there is nothing to bring back
        text += section("Bring back", fmt::format("<p class=\"note\">{}</p>\n<pre>{}</pre>\n", escaped(card.bring_back),
                                                  escaped(card.run_entry)));
    return text + cautions_html() + "</body>\n</html>\n";
}

}  // namespace revwright::report
