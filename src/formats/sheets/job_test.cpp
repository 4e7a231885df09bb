#include "formats/sheets/job.h"

#include <algorithm>
#include <gtest/gtest.h>

#include "formats/sheets/job_test_sheet.h"

namespace revwright::sheets {
namespace {

// The least a job needs: car, engine, fuel.
constexpr const char* kLeast = R"(schema = "revwright.job/1"
[car]
mass_kg = 1200
gear_ratios = [3.5, 2, 1.4, 1]
final_drive = 4.1
tyre = "205/55R16"
[engine]
displacement_cm3 = 1596
cylinders = 4
compression_ratio = 11
aspiration = "naturally-aspirated"
injection = "port"
max_speed_rpm = 7000
[fuel]
ron = 95
)";

JobSheet full_job() {
    Result<JobSheet> job = read_job(kJob, "sheet.toml");
    EXPECT_TRUE(job) << describe(job.error());
    return job.value_or(JobSheet{});
}

TEST(Job, ReadsTheAgreement) {
    const JobSheet job = full_job();
    EXPECT_EQ(job.file, "sheet.toml");
    EXPECT_EQ(job.id, "HEW-0042");
    EXPECT_EQ(job.title, "Tolvane Arden 2.0T, Harrowgill Engine Works");
    EXPECT_EQ(job.goal.torque_nm, 380.0);
    EXPECT_EQ(job.goal.power_kw, 190.0);
    EXPECT_EQ(job.site.altitude_m, 140.0);
    EXPECT_EQ(job.site.slope_pct, 0.3);
    ASSERT_TRUE(job.worst_day);
    EXPECT_EQ(job.worst_day->ambient_temp_c, 38.0);
    EXPECT_EQ(job.worst_day->ron, 95.0);
    EXPECT_EQ(job.worst_day->altitude_m, 900.0);
    EXPECT_EQ(job.worst_day->retard_allowed_deg, 3.5);
    EXPECT_EQ(job.fuel.ron, 98.0);
    EXPECT_EQ(job.fuel.ethanol_fraction, 0.05);
}

TEST(Job, ReadsTheCar) {
    const Car car = full_job().car;
    EXPECT_EQ(car.mass_kg, 1480.0);
    EXPECT_EQ(car.mass_sd_kg, 12.5);
    EXPECT_EQ(car.drag_area_m2, 0.62);
    EXPECT_EQ(car.drag_area_sd_m2, 0.02);
    EXPECT_EQ(car.rolling_coefficient, 0.011);
    EXPECT_FALSE(car.coastdown);
    EXPECT_EQ(car.gear_ratios, (std::vector{3.36, 2.09, 1.47, 1.1, 0.87, 0.73}));
    EXPECT_EQ(car.final_drive, 3.94);
    EXPECT_EQ(car.tyre.width_mm, 225);
    EXPECT_EQ(car.tyre.speed_symbol, "Y");
    EXPECT_EQ(car.wheel_inertia_kg_m2, 1.1);
    EXPECT_EQ(car.driven_axle, DrivenAxle::rear);
    EXPECT_EQ(car.driveline_loss_fraction, 0.13);
    EXPECT_EQ(car.gearbox_torque_nm, std::vector{420.0});
    EXPECT_EQ(car.clutch_torque_nm, 460.0);
    EXPECT_EQ(car.rolling_circumference_m, 1.99);
}

TEST(Job, ReadsTheEngine) {
    const Engine engine = full_job().engine;
    EXPECT_EQ(engine.displacement_cm3, 1984.0);
    EXPECT_EQ(engine.cylinders, 4);
    EXPECT_EQ(engine.bore_mm, 82.5);
    EXPECT_EQ(engine.stroke_mm, 92.8);
    EXPECT_EQ(engine.rod_mm, 144.0);
    EXPECT_EQ(engine.compression_ratio, 9.6);
    EXPECT_TRUE(engine.turbocharged());
    EXPECT_EQ(engine.injection, Injection::direct);
    EXPECT_EQ(engine.inertia_kg_m2, 0.17);
    EXPECT_EQ(engine.max_speed_rpm, 6800.0);
    EXPECT_EQ(engine.torque_max_nm, 420.0);
    EXPECT_EQ(engine.peak_pressure_mpa, 11.5);
}

TEST(Job, ReadsEveryKindOfHardware) {
    const std::vector<Hardware> hardware = full_job().hardware;
    ASSERT_EQ(hardware.size(), 7u);
    EXPECT_EQ(hardware[0].kind, HardwareKind::intake);
    EXPECT_EQ(hardware[0].pressure_drop_kpa->before, 4.2);
    EXPECT_EQ(hardware[0].pressure_drop_kpa->after, 2.1);
    EXPECT_EQ(hardware[0].pressure_drop_kpa->at_kg_s, 0.18);
    EXPECT_EQ(hardware[1].bore_mm->after, 76.0);
    EXPECT_EQ(hardware[1].rescaled, false);
    EXPECT_EQ(hardware[2].pressure_drop_kpa->at_temp_c, 780.0);
    EXPECT_EQ(hardware[2].catalyst, Catalyst::sport);
    EXPECT_EQ(hardware[3].effectiveness->after, 0.78);
    EXPECT_EQ(hardware[3].pressure_drop_kpa->after, 5.0);
    EXPECT_EQ(hardware[4].map, "parts/turbo.csv");
    EXPECT_EQ(hardware[4].reference_temp_k, 298.0);
    EXPECT_EQ(hardware[4].reference_pressure_kpa, 100.0);
    EXPECT_EQ(hardware[4].max_speed_rpm, 190000.0);
    EXPECT_EQ(hardware[5].flow_g_s, 21.0);
    EXPECT_EQ(hardware[6].kind, HardwareKind::fuel_pump);
    EXPECT_EQ(hardware[6].at_pressure_mpa, 0.5);
}

TEST(Job, ReadsTheRuns) {
    const std::vector<RunEntry> runs = full_job().runs;
    ASSERT_EQ(runs.size(), 2u);
    EXPECT_EQ(runs[0].log, "logs/standard.csv");
    EXPECT_EQ(runs[0].image, "images/standard.bin");
    EXPECT_EQ(runs[0].direction, "north");
    EXPECT_EQ(runs[0].slope_pct, -0.4);
    EXPECT_EQ(runs[0].occupants_kg, 160.0);
    EXPECT_EQ(runs[0].ambient_temp_c, 17.5);
    EXPECT_EQ(runs[0].ambient_pressure_kpa, 99.6);
    EXPECT_EQ(runs[0].humidity_pct, 55.0);
    EXPECT_EQ(runs[0].fuel_batch, "B1");
    EXPECT_EQ(runs[0].ron, 98.0);
    EXPECT_EQ(runs[1].place, RunPlace::inertia_dyno);
    EXPECT_EQ(runs[1].roller_inertia_kg_m2, 38.5);
    ASSERT_TRUE(runs[1].image_sha256);
    EXPECT_EQ(to_hex(*runs[1].image_sha256), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_TRUE(runs[1].image.empty());
}

TEST(Job, LaysOverridesOverTheLimitsOfTheAspiration) {
    const JobSheet job = full_job();
    EXPECT_EQ(job.limits.at("lambda_max").watch, 0.88);
    EXPECT_EQ(job.limits.at("lambda_max").source, "job sheet: hot cylinder head");
    EXPECT_EQ(job.limits.at("intake_temp_c").mend, 60.0);
    EXPECT_EQ(job.limits.at("oil_temp_c").mend, 130.0);
    const Result<JobSheet> least = read_job(kLeast, "sheet.toml");
    ASSERT_TRUE(least) << describe(least.error());
    EXPECT_EQ(least->limits.at("lambda_max").watch, 0.95);
}

TEST(Job, KeepsThePolicyDefaultsItDoesNotName) {
    const Policy policy = full_job().policy;
    EXPECT_EQ(policy.first_spark_step_deg, 0.75);
    EXPECT_EQ(policy.spark_step_deg, 1.25);
    EXPECT_EQ(policy.sigma, 2.5);
    EXPECT_EQ(policy.spark_total_deg, 6.0);
    EXPECT_EQ(policy.knock_rate_max, 0.03);
}

TEST(Job, ReadsTheImagesAndTheirRoles) {
    const JobSheet job = full_job();
    ASSERT_TRUE(job.image);
    EXPECT_EQ(job.image->file, "images/standard.bin");
    EXPECT_EQ(job.image->description, "images/tables.toml");
    EXPECT_EQ(job.image->base_address, 0x8000u);
    ASSERT_EQ(job.image->roles.size(), 2u);
    const std::vector<RoleTable>& spark = job.image->roles.at(Role::spark);
    ASSERT_EQ(spark.size(), 2u);
    EXPECT_EQ(spark[1].table, "SPARK_LOW");
    EXPECT_EQ(spark[1].when, "octane-low");
    EXPECT_EQ(spark[0].when, "");
    EXPECT_GT(spark[0].where.line, 100u);
    EXPECT_EQ(job.image->quantities.at("SPARK_MAIN.axis0").signal, Signal::engine_speed_rpm);
    ASSERT_TRUE(job.gearbox_image);
    EXPECT_EQ(job.gearbox_image->format, ImageFormat::srec);
    EXPECT_EQ(job.gearbox_image->roles.at(Role::shift_up_speed)[0].table, "SHIFT_UP");
}

TEST(Job, ReadsSumsAndCrcs) {
    const std::vector<ChecksumRegion> regions = full_job().image.value_or(ImageEntry{}).checksums;
    ASSERT_EQ(regions.size(), 2u);
    EXPECT_EQ(regions[0].kind, ChecksumKind::sum16);
    EXPECT_EQ(regions[0].start, 0x8000u);
    EXPECT_EQ(regions[0].end, 0xBFFBu);
    EXPECT_EQ(regions[0].store, 0xBFFCu);
    EXPECT_EQ(regions[0].byte_order, ByteOrder::little);
    EXPECT_EQ(regions[0].complement, Complement::twos);
    EXPECT_EQ(regions[0].word, 1);
    EXPECT_EQ(regions[1].polynomial, 0x04C11DB7u);
    EXPECT_EQ(regions[1].initial, 0xFFFFFFFFu);
    EXPECT_TRUE(regions[1].reflected);
    EXPECT_EQ(regions[1].final_xor, 0xFFFFFFFFu);
}

TEST(Job, SaysWhichDefaultsItTook) {
    EXPECT_TRUE(std::ranges::none_of(full_job().defaults_used, [](const std::string& sentence) {
        return sentence.contains("drag area") || sentence.contains("driveline") || sentence.contains("site");
    }));
    const Result<JobSheet> least = read_job(kLeast, "sheet.toml");
    ASSERT_TRUE(least) << describe(least.error());
    EXPECT_EQ(least->defaults_used,
              (std::vector<std::string>{
                  "deviation of the mass taken as 30 kg (common practice, no source)",
                  "drag area taken as 0.65 m2 (common practice, no source)",
                  "deviation of the drag area taken as 0.06 m2 (common practice, no source)",
                  "rolling coefficient taken as 0.012 (common practice, no source)",
                  "rolling circumference taken as 1.9273 m, 3.05 x the diameter of 205/55R16",
                  "inertia of each wheel taken as 1 kg m2 (common practice, no source)",
                  "driveline loss taken as 0.12 (common practice, no source)",
                  "driven axle taken as the front one",
                  "inertia of the engine taken as 0.15 kg m2 (common practice, no source)",
                  "ethanol fraction of the fuel taken as 0: stoichiometry and heating value depend on it",
                  "site taken as at sea level and without slope, where a run does not say",
              }));
    EXPECT_NEAR(least->car.rolling_circumference_m, 1.92730, 1e-5);  // CHECK value of 205/55R16, see tyre_test.cpp
    EXPECT_EQ(least->car.drag_area_m2, 0.65);
}

TEST(Job, TakesACoastdownInsteadOfDragAndRolling) {
    std::string sheet = kLeast;
    sheet.replace(sheet.find("[engine]"), 0, "coastdown = { a_n = 120, b_n_per_m_s = -0.4, c_n_per_m2_s2 = 0.38 }\n");
    const Result<JobSheet> job = read_job(sheet, "sheet.toml");
    ASSERT_TRUE(job) << describe(job.error());
    EXPECT_EQ(job->car.coastdown->b_n_per_m_s, -0.4);
    EXPECT_FALSE(job->car.drag_area_m2);
}

TEST(Job, TakesTheDisplacementFromBoreAndStroke) {
    std::string sheet = kLeast;
    const std::string stated = "displacement_cm3 = 1596";
    sheet.replace(sheet.find(stated), stated.size(), "bore_mm = 79\nstroke_mm = 81.4");
    const Result<JobSheet> job = read_job(sheet, "sheet.toml");
    ASSERT_TRUE(job) << describe(job.error());
    EXPECT_NEAR(job->engine.displacement_cm3, 1596.0, 0.5);  // pi/4 x 7.9^2 x 8.14 x 4, by hand
}

}  // namespace
}  // namespace revwright::sheets
