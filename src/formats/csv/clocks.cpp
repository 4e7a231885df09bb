#include "formats/csv/clocks.h"

#include <algorithm>
#include <fmt/format.h>

#include "formats/csv/time_name.h"

namespace revwright::csv {
namespace {

constexpr double kSlowStep = 5.0;  // Our choice, common practice, no source: few loggers write a row in 5 s

/// A column that may be a clock.
struct Candidate {
    std::size_t column = 0;
    TimeName name = {};
    UnitConversion seconds = {};
    bool has_unit = false;
    const ColumnFacts* facts = nullptr;
    bool is_clock_text() const { return facts->style.kind == CellStyle::Kind::clock; }
    bool is_number() const { return facts->numbers + facts->with_unit > 0 && !is_clock_text(); }
};

class ClockFinder {
public:
    ClockFinder(Header& header, const std::vector<ColumnFacts>& facts, const Place& place)
        : header_(header), facts_(facts), place_(place) {}

    Result<bool> find() {
        collect();
        if (candidates_.empty()) return without_name();
        const std::size_t first = pick();
        if (candidates_[first].facts->dates > 0 && !candidates_[first].is_number())
            return date_alone(candidates_[first].column);
        add_group(candidates_[first]);
        group().begin = 0;
        if (!is_only_clock(candidates_[first]))
            for (std::size_t i = 0; i < candidates_.size(); ++i)
                if (i != first) settle(candidates_[i], candidates_[first]);
        if (const auto clocks = clocks_behind_channels(candidates_[first]); clocks > 0)
            return refuse(fmt::format("expected each time column before its channels, found column {} before the first "
                                      "of {} time columns",
                                      header_.columns[0].name, clocks),
                          place_);
        tell_doubt(candidates_[first]);
        return true;
    }

private:
    void collect() {
        const std::vector<Column>& columns = header_.columns;
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const std::string_view behind = i + 1 < columns.size() ? std::string_view(columns[i + 1].name) : "";
            Candidate found{i, time_name(columns[i].name, behind)};
            found.facts = &facts_[i];
            const std::string_view unit = !columns[i].unit.empty()        ? std::string_view(columns[i].unit)
                                          : !facts_[i].style.unit.empty() ? std::string_view(facts_[i].style.unit)
                                                                          : found.name.unit;
            const auto seconds = conversion(unit.empty() ? "s" : unit, "s");
            const bool unit_fits =
                seconds && (found.name.unit.empty() || conversion(unit, found.name.unit)->is_identity());
            if (!found.name.is_time) continue;
            if (!unit_fits && !found.is_clock_text()) {
                if (!misfit_) misfit_ = found;
                continue;
            }
            if (!found.is_clock_text()) found.seconds = *seconds;
            found.has_unit = !unit.empty() || found.name.word == "seconds" || found.is_clock_text();
            candidates_.push_back(std::move(found));
        }
    }

    /// The clock of the first group: "time_s", else the first number that runs, clock text, number, or anything.
    std::size_t pick() const {
        const auto first = [&](auto fits) {
            return static_cast<std::size_t>(std::ranges::find_if(candidates_, fits) - candidates_.begin());
        };
        const std::size_t ours = first([&](const Candidate& c) { return header_.columns[c.column].name == "time_s"; });
        const std::size_t runs = first([](const Candidate& c) { return c.is_number() && c.facts->runs(); });
        const std::size_t text = first([](const Candidate& c) { return c.is_clock_text(); });
        const std::size_t number = first([](const Candidate& c) { return c.is_number(); });
        for (const std::size_t choice : {ours, runs, text, number})
            if (choice < candidates_.size()) return choice;
        return 0;
    }

    /// A file with one "time_s" has one clock, whatever other columns are called: so are our own files.
    bool is_only_clock(const Candidate& first) const {
        return header_.columns[first.column].name == "time_s" &&
               std::ranges::count(header_.columns, "time_s", &Column::name) == 1;
    }

    /// Whether a further time column starts a group of its own, and what else becomes of it.
    void settle(const Candidate& other, const Candidate& first) {
        const bool same_kind = other.is_clock_text() == first.is_clock_text();
        const bool same_word = other.name.word == first.name.word;
        const bool has_channels = other.column + 1 < header_.columns.size() && !is_candidate(other.column + 1);
        if (other.column > first.column && same_kind && same_word && has_channels && other.facts->runs()) {
            group().end = other.column;
            add_group(other);
            return;
        }
        Column& column = header_.columns[other.column];
        column.left_out = other.is_clock_text();
        if (column.left_out || (has_channels && other.facts->runs()))
            header_.lost.push_back(fmt::format(
                "column {} is a second clock beside {}; {}", column.name, header_.columns[first.column].name,
                column.left_out ? "it is left out" : "it is kept as a channel, and all channels are put on the first"));
    }

    bool is_candidate(std::size_t column) const {
        return std::ranges::find(candidates_, column, &Candidate::column) != candidates_.end();
    }
    /// "a, Time A, b, Time B": how many clocks stand behind their channels; 0 where it is not so.
    std::size_t clocks_behind_channels(const Candidate& first) const {
        const Candidate& last = candidates_.back();
        if (first.column == 0 || last.column + 1 != header_.columns.size() || is_only_clock(first)) return 0;
        if (last.column == first.column || last.name.word != first.name.word || !last.facts->runs()) return 0;
        return static_cast<std::size_t>(std::ranges::count_if(
            candidates_, [&](const Candidate& c) { return c.name.word == first.name.word && c.facts->runs(); }));
    }

    void add_group(const Candidate& clock) {
        header_.groups.push_back({.time = clock.column,
                                  .begin = clock.column,
                                  .end = header_.columns.size(),
                                  .seconds = clock.seconds,
                                  .coarse = clock.is_number() && clock.facts->is_coarse()});
    }
    Group& group() { return header_.groups.back(); }

    /// No column is called a time: one with dates and times of day, or one that numbers the rows, may stand in.
    Result<bool> without_name() {
        if (misfit_) return wrong_unit();
        const std::vector<Column>& columns = header_.columns;
        for (std::size_t i = 0; i < columns.size(); ++i) {
            if (!time_name(columns[i].name).is_date) continue;
            Candidate date{i, time_name(columns[i].name)};
            date.facts = &facts_[i];
            if (!date.is_clock_text()) return date_alone(i);
            add_group(date);
            group().begin = 0;
            return true;
        }
        for (std::size_t i = 0; i < columns.size(); ++i) {
            if (!names_a_counter(columns[i].name) || !facts_[i].counts_rows()) continue;
            header_.groups.push_back({.time = i, .begin = 0, .end = columns.size(), .counts_rows = true});
            return true;
        }
        return refuse(
            fmt::format("expected a time column such as time_s, Time [ms] or Zeit, found none among {} columns",
                        columns.size()),
            place_);
    }

    tl::unexpected<Error> wrong_unit() const {
        const Column& time = header_.columns[misfit_->column];
        const std::string_view named = misfit_->name.unit;
        return refuse(fmt::format("the time column {} is in \"{}\", expected {}", time.name, time.unit,
                                  named.empty() ? "a unit of time such as s or ms" : named),
                      place_);
    }

    tl::unexpected<Error> date_alone(std::size_t column) const {
        return refuse(fmt::format("expected times in the column {}, found \"{}\"{}", header_.columns[column].name,
                                  facts_[column].first, facts_[column].dates > 0 ? ", a date alone" : ""),
                      place_);
    }

    void tell_doubt(const Candidate& clock) {
        if (clock.has_unit || clock.facts->rises < 3 || clock.facts->smallest_rise < kSlowStep) return;
        const std::string& name = header_.columns[clock.column].name;
        header_.clock_doubt = fmt::format(
            "the time column {} names no unit and steps by {:g}; it is read as seconds: write {} [ms] into the header "
            "if it is in milliseconds",
            name, clock.facts->smallest_rise, name);
    }

    Header& header_;
    const std::vector<ColumnFacts>& facts_;
    const Place& place_;
    std::vector<Candidate> candidates_;
    std::optional<Candidate> misfit_;
};

}  // namespace

Result<bool> find_clocks(Header& header, const std::vector<ColumnFacts>& facts, const Place& place) {
    return ClockFinder(header, facts, place).find();
}

}  // namespace revwright::csv
