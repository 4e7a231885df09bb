#include <chrono>
#include <cmath>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <limits>

#include "naming/naming.h"
#include "naming/naming_test_drive.h"

namespace revwright {
namespace {

const TestDrive kDrive;

Log named(const TestLog& raw, const NamingHints& hints = {}) {
    auto done = name_channels(raw.log, nullptr, hints);
    EXPECT_TRUE(done) << describe(done.error());
    return done ? *std::move(done) : Log{};
}

/// A log with engine speed and pedal, which show when the engine idles, and one channel more.
TestLog with(std::string name, std::string unit, std::vector<double> values) {
    TestLog log(kDrive);
    log.with("Motordrehzahl", "1/min", kDrive.rpm).with("Pedalwert", "%", kDrive.pedal);
    return log.with(std::move(name), std::move(unit), std::move(values));
}

/// What the third channel became: "name unit", or "name|name: why" where it stayed open, or "none".
std::string told(const Log& log) {
    const Channel& channel = log.channels.at(2);
    if (channel.key) return fmt::format("{}{}", to_string(*channel.key), channel.read_as->gauge ? " gauge" : "");
    return channel.candidates.empty() ? "none"
                                      : fmt::format("{}: {}", fmt::join(channel.candidates, "|"), channel.doubt);
}

void expect_near(const std::vector<double>& values, const std::vector<double>& truth, double band) {
    ASSERT_EQ(values.size(), truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i) ASSERT_NEAR(values[i], truth[i], band) << "sample " << i;
}

/// The third channel is this one of ours, with these samples.
void expect_told(const Log& log, const std::string& as, const std::vector<double>& truth, double band = 1e-6) {
    EXPECT_EQ(told(log), as);
    expect_near(log.channels.at(2).values, truth, band);
}

TEST(Settle, GaugeAndAbsoluteAreToldByTheEngineAtRest) {
    const auto over = [](const std::vector<double>& v) { return scaled(v, 1.0, -101.325); };
    expect_told(named(with("Ladedruck", "kPa", kDrive.boost)), "boost_pressure_kpa", kDrive.boost);
    expect_told(named(with("Ladedruck", "kPa", over(kDrive.boost))), "boost_pressure_kpa gauge", kDrive.boost);
    expect_told(named(with("Saugrohrdruck", "mbar", scaled(kDrive.manifold, 10.0))), "manifold_pressure_kpa",
                kDrive.manifold);
    expect_told(named(with("MAP", "kPa", over(kDrive.manifold))),
                "manifold_pressure_kpa: its values from -77.33 to 87.34 kPa are not those of manifold_pressure_kpa",
                over(kDrive.manifold));
    expect_told(named(with("Saugrohrdruck", "kPa", over(kDrive.manifold))), "manifold_pressure_kpa gauge",
                kDrive.manifold);
    expect_told(named(with("Ladedruck", "bar \xC3\xBC", scaled(over(kDrive.boost), 0.01))), "boost_pressure_kpa gauge",
                kDrive.boost);
    NamingHints high;
    high.ambient_pressure_kpa = 95.0, high.ambient_source = "the job states for this run";
    const Log log = named(with("Ladedruck rel.", "kPa", scaled(kDrive.boost, 1.0, -95.0)), high);
    expect_told(log, "boost_pressure_kpa gauge", kDrive.boost);
    EXPECT_EQ(log.lost.at(0),
              "channel Ladedruck rel. is gauge: ambient pressure not logged, 95.0 kPa taken, as the job "
              "states for this run");
}

TEST(Settle, APullAloneDoesNotTellGaugeFromAbsolute) {
    TestLog pull(kDrive);
    const auto part = [](const std::vector<double>& v) { return std::vector(v.begin() + 340, v.begin() + 380); };
    pull.log.time_bases = {{part(kDrive.seconds)}};
    pull.with("Motordrehzahl", "1/min", part(kDrive.rpm)).with("Pedalwert", "%", part(kDrive.pedal));
    pull.with("Ladedruck", "kPa", part(kDrive.boost));
    EXPECT_EQ(told(named(pull)),
              "boost_pressure_kpa: it may be absolute or gauge, and no reading with the engine off or "
              "the pedal closed tells");
}

TEST(Settle, AMissingUnitIsTakenWhereOneFits) {
    for (const double factor : {1.0, 10.0, 0.01, 1.0 / 6.894757})
        expect_told(named(with("Ladedruck", "", scaled(kDrive.boost, factor))), "boost_pressure_kpa", kDrive.boost,
                    1e-4);
    for (const double factor : {1.0, 10.0, 1000.0, 145.0377})
        expect_told(named(with("Raildruck", "", scaled(kDrive.rail, factor))), "rail_pressure_mpa", kDrive.rail, 1e-4);
    expect_told(named(with("Kuehlmitteltemperatur", "", kDrive.coolant)), "coolant_temp_c", kDrive.coolant);
    expect_told(named(with("Coolant temp", "", scaled(kDrive.coolant, 1.8, 32.0))), "coolant_temp_c", kDrive.coolant);
    expect_told(named(with("MAF", "", scaled(kDrive.air, 3.6))), "air_mass_flow_g_s", kDrive.air);
    EXPECT_EQ(told(named(with("IAT", "", kDrive.intake))), "intake_temp_c: its unit is not given, and C and F fit");
    EXPECT_EQ(told(named(with("Moment Ist", "", scaled(kDrive.air, 1.5)))),
              "torque_nm: its unit is not given, and Nm and lbf.ft fit");
}

TEST(Settle, AUnitlessLoggerKeepsToOneSystem) {
    TestLog log(kDrive);
    log.with("RPM", "", kDrive.rpm).with("Coolant", "", kDrive.coolant).with("IAT", "", kDrive.intake);
    log.with("Coolant temp", "", kDrive.coolant)
        .with("MAP", "", kDrive.manifold)
        .with("Vehicle speed", "", kDrive.speed);
    const Log metric = named(log);
    EXPECT_EQ(told(metric), "intake_temp_c");
    expect_near(metric.find(Signal::vehicle_speed_km_h)->values, kDrive.speed, 1e-9);
}

TEST(Settle, GearRatiosTellKilometresFromMiles) {
    const auto mph = scaled(kDrive.speed, 1.0 / 1.609344);
    EXPECT_EQ(told(named(with("Vehicle speed", "", mph))),
              "vehicle_speed_km_h: its unit is not given, and km/h and mph fit");
    NamingHints hints;
    hints.rpm_per_km_h = {120.0, 70.0, TestDrive::kRpmPerKmH, 35.0};
    expect_told(named(with("Vehicle speed", "", mph), hints), "vehicle_speed_km_h", kDrive.speed, 1e-9);
    expect_told(named(with("Vehicle speed", "", kDrive.speed), hints), "vehicle_speed_km_h", kDrive.speed, 1e-9);
}

TEST(Settle, AUnitOfAnotherKindKeepsTheNameOpen) {
    EXPECT_EQ(told(named(with("Lambda", "V", kDrive.lambda))), "lambda: its unit V does not measure lambda");
    EXPECT_EQ(told(named(with("Klopfrücknahme", "V", kDrive.retard))),
              "knock_retard_deg: its unit V does not measure knock_retard_deg");
    EXPECT_EQ(told(named(with("Speed", "rpm", kDrive.rpm))), "none") << "engine speed has a better named channel";
}

TEST(Settle, FuelPressureIsHighOrLowByItsValues) {
    expect_told(named(with("Fuel pressure", "bar", scaled(kDrive.rail, 10.0))), "rail_pressure_mpa", kDrive.rail);
    expect_told(named(with("Fuel pressure", "bar", scaled(kDrive.rail, 0.3))), "fuel_pressure_low_kpa",
                scaled(kDrive.rail, 30.0));
}

TEST(Settle, AnAirFuelRatioNeedsItsFuel) {
    const auto afr = scaled(kDrive.lambda, 14.57);
    const Log alone = named(with("AFR", "", afr));
    expect_told(alone, "lambda", kDrive.lambda, 0.006);
    EXPECT_TRUE(alone.lost.at(0).starts_with("channel AFR is an air-fuel ratio: divided by 14.5")) << alone.lost.at(0);
    NamingHints petrol, e85;
    petrol.air_fuel_stoichiometric = 14.57, e85.air_fuel_stoichiometric = 9.8;
    expect_told(named(with("Lambda", "AFR", afr), petrol), "lambda", kDrive.lambda);
    EXPECT_TRUE(told(named(with("AFR", "", afr), e85)).starts_with("lambda: it holds 14.5")) << "another fuel's scale";
    TestLog no_idle(kDrive);
    no_idle.with("a", "", kDrive.rpm).with("b", "", kDrive.pedal).with("AFR", "", afr);
    EXPECT_EQ(told(named(no_idle)), "lambda: it is an air-fuel ratio, and of which fuel is not known");
}

TEST(Settle, AnEquivalenceRatioIsToldByFullLoad) {
    const auto inverse = changed(kDrive.lambda_target, [](double x) { return 1.0 / x; });
    expect_told(named(with("Commanded equivalence ratio", "", inverse)), "lambda_target", kDrive.lambda_target);
    expect_told(named(with("Commanded equivalence ratio", "", kDrive.lambda_target)), "lambda_target",
                kDrive.lambda_target);
    EXPECT_EQ(
        told(named(with("Commanded equivalence ratio", "", scaled(inverse, 0.0, 1.0)))),
        "lambda_target: an equivalence ratio is lambda to some and 1 / lambda to others, and full load is not rich "
        "enough to tell");
}

TEST(Settle, SparkAndRetardAreTurnedRound) {
    expect_told(named(with("Zündwinkel", "°KW", scaled(kDrive.spark, -1.0))), "spark_deg", kDrive.spark);
    expect_told(named(with("Zündwinkel", "°KW", kDrive.spark)), "spark_deg", kDrive.spark);
    expect_told(named(with("Timing correction cylinder 2", "deg", scaled(kDrive.retard, -1.0))), "knock_retard_deg.2",
                kDrive.retard);
}

TEST(Settle, TrimsMayBeFactors) {
    expect_told(named(with("STFT", "", scaled(kDrive.trim, 0.01, 1.0))), "trim_short_pct", kDrive.trim);
    expect_told(named(with("STFT", "%", kDrive.trim)), "trim_short_pct", kDrive.trim);
}

TEST(Settle, WhatIsDeadOrEmptyIsNotTaken) {
    const double blank = std::numeric_limits<double>::quiet_NaN();
    EXPECT_EQ(told(named(with("Lambda Soll", "", scaled(kDrive.rpm, 0.0)))), "lambda_target: it reads 0 throughout");
    EXPECT_EQ(told(named(with("Lambda Soll", "", scaled(kDrive.rpm, blank)))), "lambda_target: it holds no samples");
    EXPECT_EQ(told(named(with("Öltemperatur", "C", scaled(kDrive.rpm, 0.0, 9999.0)))),
              "oil_temp_c: its values from 9999 to 9999 C are not those of oil_temp_c");
    EXPECT_EQ(told(named(with("Klopfrücknahme", "", scaled(kDrive.rpm, 0.0)))), "knock_retard_deg")
        << "none is no fault";
}

TEST(Settle, TwoChannelsAsWellNamedAreAsked) {
    TestLog rivals(kDrive);
    rivals.with("Ladedruck", "kPa", kDrive.boost).with("Pedal", "%", kDrive.pedal);
    rivals.with("Charge pressure", "kPa", scaled(kDrive.boost, 1.05)).with("RPM", "rpm", kDrive.rpm);
    EXPECT_EQ(told(named(rivals)), "boost_pressure_kpa: the channel Ladedruck fits as well");
    rivals.log.channels[2].values = kDrive.boost;
    const Log same = named(rivals);
    EXPECT_TRUE(same.channels[0].key) << "the same samples under two names are one channel";
    EXPECT_EQ(told(same), "none");
    TestLog better(kDrive);
    better.with("RPM", "rpm", kDrive.rpm).with("Intake air temperature", "C", kDrive.intake);
    better.with("Charge air temperature", "C", scaled(kDrive.intake, 1.1));
    EXPECT_EQ(told(named(better)), "intake_temp_c");
}

TEST(Settle, ANegativeAbsolutePressureIsNoted) {
    auto values = kDrive.boost;
    values[200] = -5.0, values[201] = -6.0;
    const Log log = named(with("Ladedruck abs.", "kPa", values));
    EXPECT_EQ(log.channels[2].quality, (std::vector<std::string>{"negative-pressure"}));
    EXPECT_EQ(log.quality.at(0).start_s, kDrive.seconds[200]);
    EXPECT_EQ(log.quality.at(0).end_s, kDrive.seconds[201]);
}

/// One logger: its names, units, factors and offsets.
struct Dialect {
    const char *rpm, *rpm_unit, *pedal, *boost, *boost_unit;
    double boost_factor, boost_offset;
    const char *target, *map, *map_unit;
    double map_factor, map_offset;
    const char *lambda, *lambda_unit;
    double lambda_factor;
    const char *spark, *knock;
    double knock_sign;
    const char *coolant, *coolant_unit;
    double coolant_factor, coolant_offset;
};

constexpr double kAir = 101.325, kPsi = 6.894757293168362;

constexpr Dialect kDialects[] = {
    {"engine_speed_rpm",
     "",
     "pedal_pct",
     "boost_pressure_kpa",
     "",
     1,
     0,
     "boost_target_kpa",
     "manifold_pressure_kpa",
     "",
     1,
     0,
     "lambda",
     "",
     1,
     "spark_deg",
     "knock_retard_deg.1",
     1,
     "coolant_temp_c",
     "",
     1,
     0},
    {"Motordrehzahl",
     "1/min",
     "Pedalwert",
     "Ladedruck Ist",
     "mbar",
     10,
     0,
     "Ladedruck Soll",
     "Saugrohrdruck",
     "mbar",
     10,
     0,
     "Lambda Ist",
     "-",
     1,
     "Zündwinkel",
     "Klopfrücknahme Zylinder 1",
     1,
     "Kühlmitteltemperatur",
     "°C",
     1,
     0},
    {"nMot",
     "U/min",
     "Fahrpedalstellung",
     "LadedruckIst",
     "hPa",
     10,
     0,
     "LadedruckSoll",
     "SaugrohrDruck",
     "hPa",
     10,
     0,
     "LambdaIst",
     "",
     1,
     "ZuendwinkelIst",
     "ZuendwinkelRuecknahmeZyl1",
     -1,
     "Kuehlmitteltemp",
     "grd C",
     1,
     0},
    {"Engine RPM",
     "rpm",
     "Accelerator Pedal",
     "Boost",
     "psi",
     1 / kPsi,
     -kAir / kPsi,
     "Boost target",
     "MAP",
     "psi",
     1 / kPsi,
     0,
     "AFR",
     "",
     14.57,
     "Ignition timing",
     "Knock retard cyl 1",
     1,
     "Coolant Temp",
     "F",
     1.8,
     32},
    {"ENGINE_SPEED ()",
     "",
     "PEDAL_D ()",
     "BOOST_PRESSURE ()",
     "",
     1,
     0,
     "BOOST_PRESSURE_TARGET ()",
     "INTAKE_MANIFOLD_PRESSURE ()",
     "",
     1,
     0,
     "LAMBDA ()",
     "",
     1,
     "TIMING_ADVANCE ()",
     "KNOCK_RETARD_CYL1 ()",
     -1,
     "COOLANT_TEMPERATURE ()",
     "",
     1,
     0},
    {"engine.speed",
     "r/min",
     "pedal.position",
     "charge.pressure",
     "bar",
     0.01,
     0,
     "charge.pressure.setpoint",
     "manifold.pressure",
     "bar",
     0.01,
     0,
     "lambda.actual",
     "λ",
     1,
     "spark.advance",
     "knock.retard.1",
     1,
     "coolant.temp",
     "K",
     1,
     273.15},
    {"Drehzahl (n)",
     "min-1",
     "Gaspedal",
     "Ladedruck rel.",
     "bar",
     0.01,
     -0.01 * kAir,
     "Ladedruck rel. Soll",
     "Saugrohrdruck abs.",
     "bar",
     0.01,
     0,
     "Luft/Kraftstoff Lambda",
     "1",
     1,
     "Zündzeitpunkt",
     "Zündwinkelrücknahme Zyl.1",
     1,
     "Wassertemperatur",
     "°C",
     1,
     0},
    {"RPM",
     "",
     "APP",
     "Boost (actual)",
     "kPa gauge",
     1,
     -kAir,
     "Boost (specified)",
     "Manifold absolute pressure",
     "kPa",
     1,
     0,
     "Lambda",
     "AFR",
     14.57,
     "Ignition advance",
     "Timing correction cylinder 1",
     -1,
     "ECT",
     "degC",
     1,
     0},
    {"Engine speed [ECU]",
     "1/s",
     "Accelerator position",
     "Turbo boost pressure",
     "barg",
     0.01,
     -0.01 * kAir,
     "Turbo boost pressure requested",
     "Intake manifold pressure",
     "kPa",
     1,
     0,
     "Wideband lambda",
     "",
     1,
     "Ignition angle actual",
     "Knock correction cyl. 1",
     -1,
     "Engine coolant temperature",
     "F",
     1.8,
     32},
    {"Umdrehungen Motordrehzahl",
     "1/min",
     "Pedal",
     "Druck vor Drosselklappe",
     "mbar abs",
     10,
     0,
     "Ladeluftdruck Vorgabe",
     "Druck nach Drosselklappe",
     "mbar",
     10,
     0,
     "Lambdawert",
     "",
     1,
     "Vorzündung",
     "Klopfregelung Rücknahme Zyl 1",
     1,
     "Kühlwassertemperatur",
     "Grad",
     1,
     0},
};

TestLog written_in(const Dialect& d) {
    TestLog log(kDrive);
    const bool per_second = std::string_view(d.rpm_unit) == "1/s";
    const bool gauge_target = d.boost_offset != 0.0;
    log.with(d.rpm, d.rpm_unit, scaled(kDrive.rpm, per_second ? 1.0 / 60.0 : 1.0)).with(d.pedal, "%", kDrive.pedal);
    log.with(d.boost, d.boost_unit, scaled(kDrive.boost, d.boost_factor, d.boost_offset));
    log.with(d.target, d.boost_unit, scaled(kDrive.boost_target, d.boost_factor, gauge_target ? d.boost_offset : 0.0));
    log.with(d.map, d.map_unit, scaled(kDrive.manifold, d.map_factor, d.map_offset));
    log.with(d.lambda, d.lambda_unit, scaled(kDrive.lambda, d.lambda_factor));
    log.with(d.spark, "deg", kDrive.spark).with(d.knock, "deg", scaled(kDrive.retard, d.knock_sign));
    return log.with(d.coolant, d.coolant_unit, scaled(kDrive.coolant, d.coolant_factor, d.coolant_offset));
}

TEST(Settle, TenDialectsOfOneDriveAreOneLog) {
    const std::pair<const char*, const std::vector<double>*> truths[] = {{"engine_speed_rpm", &kDrive.rpm},
                                                                         {"pedal_pct", &kDrive.pedal},
                                                                         {"boost_pressure_kpa", &kDrive.boost},
                                                                         {"boost_target_kpa", &kDrive.boost_target},
                                                                         {"manifold_pressure_kpa", &kDrive.manifold},
                                                                         {"lambda", &kDrive.lambda},
                                                                         {"spark_deg", &kDrive.spark},
                                                                         {"knock_retard_deg.1", &kDrive.retard},
                                                                         {"coolant_temp_c", &kDrive.coolant}};
    NamingHints job;
    job.air_fuel_stoichiometric = 14.57;
    for (const Dialect& dialect : kDialects) {
        SCOPED_TRACE(dialect.rpm);
        const Log log = named(written_in(dialect), job);
        for (const Channel& channel : log.channels) EXPECT_TRUE(channel.key) << channel.name << ": " << channel.doubt;
        for (const auto& [name, truth] : truths) {
            const Channel* channel = log.find(*channel_key(name));
            ASSERT_NE(channel, nullptr) << name;
            for (std::size_t i = 0; i < truth->size(); ++i)
                ASSERT_NEAR(channel->values[i], (*truth)[i], 1e-6) << name << " at " << i;
        }
    }
}

}  // namespace
}  // namespace revwright
