#include "draw/power_drawing.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "draw/power_panel.h"
#include "draw/sheet.h"
#include "draw/svg.h"
#include "model/cautions.h"
#include "model/power_words.h"

namespace revwright::draw {
namespace {

constexpr double kPanelGap = 34.0;

bool has_curve(const PowerReport& report) {
    const PowerSet* set = last_set(report);
    if (!set) return false;
    const auto drawable = [](const PowerCurve& curve) { return curve.points.size() > 1; };
    return (set->combined && drawable(*set->combined)) ||
           std::ranges::any_of(set->methods, [&](const MethodPower& one) { return drawable(one.curve); });
}

double add_heading(std::vector<Shape>& shapes, const PowerReport& report) {
    double y = add_paragraph(shapes, "title", power_headline(report), kTitleLetters, 26.0, 38.0);
    if (!has_curve(report)) return y;
    const PowerSet& set = report.sets.back();
    const std::string corrected = corrected_in_words(set);
    const std::string reference = corrected.empty() ? set.why_reference : corrected + " The curves are corrected too.";
    return add_paragraph(shapes, "quiet", "At the crankshaft, in brackets 95 % intervals. " + reference, kFactsLetters,
                         20.0, y + 1.0) +
           8.0;
}

double add_key(std::vector<Shape>& shapes, const PowerReport& report, double y) {
    const PowerSet& set = report.sets.back();
    Key key(shapes, y);
    if (set.combined) key.line("measured", name_of_combined(set));
    if (set.combined) key.area("band", "95 % interval");
    const auto beside = std::ranges::find_if(set.methods, [&](const MethodPower& m) { return stands_beside(set, m); });
    if (beside != set.methods.end())
        key.line(fmt::format("method-{}", to_string(beside->method)).c_str(), "one method alone");
    const bool dots = std::ranges::any_of(report.pulls, [&](const PowerPull& pull) {
        return pull.set + 1 == report.sets.size() && pull.left_out.empty() && !pull.quick_view.empty();
    });
    if (dots) key.dots("dot", "each pull by itself");
    if (set_before(report)) key.line("before", "the image before");
    return key.below() + 4.0;
}

/// "1 shift, 2 wheel-slip".
std::string excluded_in_words(const std::vector<Excluded>& excluded) {
    std::map<ExclusionReason, std::size_t> counts;
    for (const Excluded& stretch : excluded) ++counts[stretch.reason];
    std::string text;
    for (const auto& [reason, count] : counts)
        text += fmt::format("{}{} {}", text.empty() ? "" : ", ", count, to_string(reason));
    return text;
}

/// What a reader of the curves asks first, in the order of asking.
std::vector<std::string> sentences_of(const PowerReport& report) {
    std::vector<std::string> sentences;
    const PowerSet* set = last_set(report);
    if (set && !set->in_one_sentence.empty()) sentences.push_back(set->in_one_sentence);
    for (const std::string& goal : goals_in_words(report)) sentences.push_back(goal);
    for (const PowerDifference& one : report.differences)
        if (one.to + 1 == report.sets.size())
            sentences.push_back(difference_in_words(report, one) + " " + accuracies_in_words(report, one));
    return sentences;
}

/// What the curves do not rest on, and why.
std::vector<std::string> left_out_of(const PowerReport& report) {
    std::vector<std::string> sentences;
    if (const PowerSet* set = last_set(report)) {
        for (const MethodPower& one : set->methods)
            if (!one.combined)
                sentences.push_back(fmt::format("Not combined: {}. {}", in_words(one.method), one.why_not));
        for (const RefusedPower& one : set->refused)
            sentences.push_back(fmt::format("Refused: {}. {}", in_words(one.method), one.reason));
    }
    for (const PowerPull& pull : report.pulls)
        if (!pull.left_out.empty())
            sentences.push_back(
                fmt::format("Left out: pull {} of {}. {}", pull.pull, report.logs[pull.log], pull.left_out));
    if (!report.excluded.empty())
        sentences.push_back("Stretches that are no pull: " + excluded_in_words(report.excluded) + ".");
    return sentences;
}

double add_sentences(std::vector<Shape>& shapes, const std::vector<std::string>& sentences, bool small, double y) {
    for (const std::string& sentence : sentences)
        y = small ? add_paragraph(shapes, "small", sentence, kSmallLetters, 18.0, y) + 4.0
                  : add_paragraph(shapes, "words", sentence, kFactsLetters, 20.0, y) + 5.0;
    return y + 6.0;
}

/// Where there is no curve, the reasons are what the reader came for.
double add_ending(std::vector<Shape>& shapes, const PowerReport& report, double y) {
    const bool curve = has_curve(report);
    if (!curve) y = add_sentences(shapes, left_out_of(report), false, y);
    y = add_sentences(shapes, sentences_of(report), false, y);
    if (curve) y = add_sentences(shapes, left_out_of(report), true, y);
    return add_paragraph(shapes, "small", cautions_paragraph(), kSmallLetters, 18.0, y + 4.0);
}

std::string description_of(const PowerReport& report) {
    const PowerSet* set = last_set(report);
    std::string text = set ? corrected_in_words(*set) : "";
    for (const auto& sentences : {sentences_of(report), left_out_of(report)})
        for (const std::string& sentence : sentences) text += (text.empty() ? "" : " ") + sentence;
    return text;
}

}  // namespace

Scene draw_power(const PowerReport& report) {
    Scene scene{.width = kSheetWidth, .title = power_headline(report), .description = description_of(report)};
    scene.layers.emplace_back();  // the ground; its height is known at the end
    Layer heading, ending;
    double y = add_heading(heading.shapes, report);
    if (has_curve(report)) y = add_key(heading.shapes, report, y) + 14.0;
    scene.layers.push_back(std::move(heading));
    if (has_curve(report)) {
        const Scale speed{speeds_of(report), kPlotLeft, kPlotRight};
        y = add_power_panel(scene.layers, report, PowerQuantity::torque, speed, y) + kPanelGap;
        y = add_power_panel(scene.layers, report, PowerQuantity::power, speed, y);
        y = add_speed_axis(ending.shapes, speed, y);
    }
    y = add_ending(ending.shapes, report, y + 8.0);
    scene.layers.push_back(std::move(ending));
    scene.height = y + 2.0;
    scene.layers.front().shapes.emplace_back(Box{"ground", 0.0, 0.0, scene.width, scene.height});
    return scene;
}

std::string power_svg(const PowerReport& report) { return to_svg(draw_power(report)); }

}  // namespace revwright::draw
