#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "propose/propose.h"

namespace revwright {

/// A small job with a spark, a lambda and a boost table on engine speed and charge, one pull of the parent over all
/// speeds at 150 % charge, and clean evidence everywhere. Every test changes what it is about.
struct ProposeCase {
    JobSheet job;
    TableSet parent, standard;
    std::vector<TableEvidence> evidence;
    Review review;
    Log log;
    RunEntry run;

    ProposeCase() {
        job.engine.cylinders = 4;
        job.engine.displacement_cm3 = 2000.0;
        job.engine.aspiration = Aspiration::turbocharged;
        job.engine.injection = Injection::direct;
        job.limits = Limits(true);
        job.image.emplace();
        job.image->roles[Role::spark] = {{"SPARK", "", {}}};
        job.image->roles[Role::lambda_target] = {{"LAMBDA", "", {}}};
        job.image->roles[Role::boost_target] = {{"BOOST", "", {}}};
        parent.tables = {map_of("SPARK", {Signal::spark_deg}, RawType::i8, 0.25, 10.0),
                         map_of("LAMBDA", {Signal::lambda_target}, RawType::u8, 0.005, 0.85),
                         map_of("BOOST", {Signal::boost_target_kpa}, RawType::u16, 0.5, 200.0)};
        standard = parent;
        for (std::size_t i = 0; i < 3; ++i) {
            constexpr Role kRoles[] = {Role::spark, Role::lambda_target, Role::boost_target};
            evidence.push_back({kRoles[i], parent.tables[i].name(), {}});
            for (std::size_t flat = 0; flat < 15; ++flat) evidence[i].cells.push_back(clean(flat));
        }
        log.time_bases.push_back({});
        for (int i = 0; i <= 160; ++i) log.time_bases[0].seconds.push_back(0.05 * i);
        add({Signal::engine_speed_rpm}, [](double t) { return 2000.0 + 500.0 * t; });
        add({Signal::charge_pct}, [](double) { return 150.0; });
        review.logs = {"run.csv"};
        review.pulls = {{0, 0, 0.0, 8.0, 3, 2000.0, 6000.0}};
    }

    static CellEvidence clean(std::size_t flat) {
        CellEvidence cell;
        cell.flat = flat;
        cell.pulls = 3.0;
        cell.events = 400.0;
        cell.knock_rate_upper = 0.0075;
        cell.lambda_ratio = 1.0;
        cell.lambda_max = 0.85;
        return cell;
    }
    static Table map_of(const char* name, ChannelKey quantity, RawType type, double factor, double value) {
        Table table;
        table.description.name = name;
        table.description.quantity = quantity;
        table.description.coding = {type, ByteOrder::big, factor, 0.0};
        table.description.shape = {5, 3};
        table.axes = {*Axis::make(name, {Signal::engine_speed_rpm}, {2000.0, 3000.0, 4000.0, 5000.0, 6000.0}),
                      *Axis::make(name, {Signal::charge_pct}, {100.0, 150.0, 200.0})};
        set(table, value);
        return table;
    }
    static void set(Table& table, std::size_t flat, double value) {
        table.raw[flat] = std::round(value / table.description.coding.factor);
        table.values[flat] = table.description.coding.factor * table.raw[flat];
    }
    static void set(Table& table, double value) {
        table.raw.resize(15);
        table.values.resize(15);
        for (std::size_t flat = 0; flat < 15; ++flat) set(table, flat, value);
    }
    template <class F>
    void add(ChannelKey key, F value) {
        Channel channel{to_string(key), "", key, "", 0, {}};
        for (const double t : log.time_bases[0].seconds) channel.values.push_back(value(t));
        log.channels.push_back(std::move(channel));
    }
    /// A finding of the parent's pull at 4000 rpm, 4 s.
    Finding finding(std::string check, Severity severity, double value, std::string unit,
                    std::vector<std::string> levers) const {
        Finding f;
        f.check = std::move(check);
        f.severity = severity;
        f.pull = 0;
        f.log = 0;
        f.engine_speed_rpm = 4000.0;
        f.time_s = 4.0;
        f.duration_s = 0.3;
        f.value = value;
        f.unit = std::move(unit);
        f.levers = std::move(levers);
        f.text = "Found by a test.";
        return f;
    }
    void hot_exhaust(double celsius) {
        add({Signal::exhaust_temp_c}, [=](double) { return celsius; });
    }

    Result<Proposal> run_it(bool parent_run = true) const {
        const DrivenLog driven{&log, &run, &parent};
        return propose({job, parent, standard, evidence, review, {parent_run}, std::span(&driven, 1)});
    }
    Proposal proposal(bool parent_run = true) const { return run_it(parent_run).value(); }
};

inline const ProposedCell* cell_of(const Proposal& p, std::size_t table, std::size_t flat) {
    for (const ProposedCell& cell : p.tables.at(table).cells)
        if (cell.at == CellIndex{flat / 3, flat % 3}) return &cell;
    return nullptr;
}

}  // namespace revwright
