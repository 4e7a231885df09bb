#include <gtest/gtest.h>

#include "formats/sheets/job.h"
#include "formats/sheets/job_test_sheet.h"
#include "formats/sheets/sheet_testing.h"

namespace revwright::sheets {
namespace {

constexpr Spoilt kSections[] = {
    {"schema = \"revwright.job/1\"", "schema = ^\"revwright.job/2\"",
     "schema must be \"revwright.job/1\", found \"revwright.job/2\""},
    {"schema = \"revwright.job/1\"", "^", "schema is missing, the first line must be schema = \"revwright.job/1\""},
    {"[goal]", "[^gaol]", "unknown key \"gaol\" in the sheet; did you mean \"goal\"?"},
    {"torque_nm = 380.0", "^torqe_nm = 380.0", "unknown key \"torqe_nm\" in goal; did you mean \"torque_nm\"?"},
    {"torque_nm = 380.0", "torque_nm = ^\"lots\"", "goal.torque_nm must be a number, found a text"},
    {"torque_nm = 380.0", "torque_nm = ^nan", "goal.torque_nm must be a finite number, found nan"},
    {"id = \"HEW-0042\"", "id = ^42", "job.id must be a text in quotes, found a number"},
    {"id = \"HEW-0042\"", "id = ^\"a\\nb\"", "job.id must not hold line ends or other control characters"},
    {"id = \"HEW-0042\"", "id = ^\"\"", "job.id must not be empty"},
    {"ron = 95\naltitude", "ron = ^99\naltitude", "worst_day.ron must be at most the 98 of fuel.ron, found 99"},
};

constexpr Spoilt kVehicle[] = {
    {"[car]\nmass_kg = 1480", "^[car]", "car needs mass_kg, found none"},
    {"mass_kg = 1480", "^mas_kg = 1480", "unknown key \"mas_kg\" in car; did you mean \"mass_kg\"?"},
    {"mass_kg = 1480", "mass_kg = ^148", "car.mass_kg must lie between 300 and 6000, found 148"},
    {"drag_area_m2 = 0.62", "coastdown = { a_n = 1, b_n_per_m_s = 0, c_n_per_m2_s2 = 0.4 }\ndrag_area_m2 = ^0.62",
     "car.drag_area_m2 and car.coastdown exclude each other, found both"},
    {"drag_area_m2 = 0.62\ndrag_area_sd_m2 = 0.02", "drag_area_sd_m2 = ^0.02",
     "car.drag_area_sd_m2 needs car.drag_area_m2 beside it, found none"},
    {"[3.36, 2.09, 1.47", "^[3.36, 1.47, 2.09", "car.gear_ratios must fall from gear to gear, found 1.47 then 2.09"},
    {"[3.36, 2.09, 1.47", "[3.36, ^\"2.09\", 1.47", "car.gear_ratios must be a number, found a text"},
    {"[3.36, 2.09, 1.47, 1.1, 0.87, 0.73]", "^[]", "car.gear_ratios must hold one number or more, found an empty list"},
    {"[3.36, 2.09, 1.47, 1.1, 0.87, 0.73]", "[3.36, 2.09, ^0]", "car.gear_ratios must lie between 0.2 and 8, found 0"},
    {"tyre = \"225/45 R18 95Y\"", "tyre = ^\"eighteen inch\"",
     "car.tyre must be a radial tyre size such as \"225/45 R18 95Y\", found \"eighteen inch\""},
    {"tyre = \"225/45 R18 95Y\"", "tyre = ^\"225/45 R81\"",
     "car.tyre \"225/45 R81\": tyre.rim_in must lie between 8 and 26, found 81"},
    {"driven_axle = \"rear\"", "driven_axle = ^\"reer\"",
     "car.driven_axle must be \"front\", \"rear\" or \"all\", found \"reer\"; did you mean \"rear\"?"},
    {"driveline_loss_fraction = 0.13", "driveline_loss_fraction = ^13",
     "car.driveline_loss_fraction must lie between 0 and 0.4, found 13"},
    {"gearbox_torque_nm = 420", "gearbox_torque_nm = ^[420, 410]",
     "car.gearbox_torque_nm must hold one number, or one for each of the 6 gears, found 2"},
    {"rolling_circumference_m = 1.99", "rolling_circumference_m = ^2.4",
     "car.rolling_circumference_m must be within 10 % of the 2.012 m that 225/45 R18 95Y rolls, found 2.4"},
    {"compression_ratio = 9.6", "compression_ratio = ^0.9",
     "engine.compression_ratio must lie between 5 and 20, found 0.9"},
    {"displacement_cm3 = 1984", "displacement_cm3 = ^1798",
     "engine.displacement_cm3 must agree within 2 % with bore x stroke x cylinders, which give 1984, found 1798"},
    {"cylinders = 4", "cylinders = ^4.5", "engine.cylinders must be a whole number, found 4.5"},
    {"cylinders = 4", "cylinders = ^0", "engine.cylinders must lie between 1 and 16, found 0"},
    {"rod_mm = 144", "rod_mm = ^90", "engine.rod_mm must be longer than the stroke of 92.8 mm, found 90"},
    {"aspiration = \"turbocharged\"", "aspiration = ^\"turbo\"",
     "engine.aspiration must be \"naturally-aspirated\" or \"turbocharged\", found \"turbo\""},
    {"ethanol_fraction = 0.05", "ethanol_fraction = ^5", "fuel.ethanol_fraction must lie between 0 and 1, found 5"},
};

constexpr Spoilt kWork[] = {
    {"kind = \"intake\"", "kind = ^\"intakes\"",
     "hardware.kind must be \"intake\", \"exhaust\", \"charge-cooler\", \"turbocharger\", \"injectors\", \"fuel-pump\" "
     "or "
     "\"air-meter\", found \"intakes\"; did you mean \"intake\"?"},
    {"{ before = 4.2, after = 2.1, at_kg_s = 0.18 }", "^{ before = 4.2, after = 2.1 }",
     "hardware.pressure_drop_kpa needs at_kg_s, found none"},
    {"{ before = 38, after = 21, at_kg_s = 0.19, at_temp_c = 780 }", "^{ before = 38, after = 21, at_kg_s = 0.19 }",
     "hardware.pressure_drop_kpa needs at_temp_c, found none"},
    {"at_kg_s = 0.18 }\n\n[[hardware]]\nkind = \"air",
     "at_kg_s = 0.18, ^at_temp_c = 20 }\n\n[[hardware]]\nkind = \"air",
     "unknown key \"at_temp_c\" in hardware.pressure_drop_kpa"},
    {"catalyst = \"sport\"", "catalyst = ^\"gone\"",
     "hardware.catalyst must be \"kept\", \"sport\" or \"removed\", found \"gone\""},
    {"rescaled = false", "rescaled = ^\"no\"", "hardware.rescaled must be true or false, found a text"},
    {"map = \"parts/turbo.csv\"", "^catalyst = \"kept\"", "unknown key \"catalyst\" in hardware"},
    {"[[run]]\nlog = \"logs/standard.csv\"\nimage = \"images/standard.bin\"", "^[[run]]\nlog = \"logs/standard.csv\"",
     "run needs the image it was driven with, as image or image_sha256, found neither"},
    {"image_sha256 = ", "image = \"images/r1.bin\"\nimage_sha256 = ^",
     "run.image_sha256 and run.image exclude each other, found both"},
    {"image_sha256 = \"ba78", "image_sha256 = ^\"xa78",
     "run.image_sha256 must be 64 hexadecimal digits, found "
     "\"xa7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f200...\""},
    {"log = \"logs/r1.csv\"", "log = ^\"logs/standard.csv\"",
     "a log belongs to one run, found \"logs/standard.csv\" again after line 92"},
    {"[[run]]\nlog = \"logs/r1.csv\"", "^[[run]]", "run needs log, found none"},
    {"place = \"road\"", "place = \"road\"\nroller_inertia_kg_m2 = ^20",
     "run.roller_inertia_kg_m2 belongs to a run with place = \"inertia-dyno\" only"},
    {"[limits]", "[limits]\n^oil_temp = { value = 1, reason = \"x\" }",
     "unknown key \"oil_temp\" in limits; did you mean \"oil_temp_c\"?"},
    {"{ value = 0.88, reason = \"hot cylinder head\" }", "^{ value = 0.88 }",
     "limits.lambda_max needs reason, found none"},
    {"{ value = 0.88, reason = \"hot cylinder head\" }", "^0.88",
     "limits.lambda_max must be { value = .., reason = \"..\" }, found a number"},
    {"{ value = 0.88,", "{ value = ^8.8,", "limits.lambda_max.value must lie between 0.6 and 1.2, found 8.8"},
    {"\nspark_step_deg = 1.25", "\nspark_step_deg = ^1.25\nspark_total_deg = 1",
     "policy.spark_step_deg contradicts: a spark_step_deg of 1.25 is above the spark_total_deg of 1"},
};

constexpr Spoilt kImages[] = {
    {"format = \"binary\"", "format = ^\"hex\"",
     "image.format must be \"binary\", \"ihex\" or \"srec\", found \"hex\"; did you mean \"ihex\"?"},
    {"format = \"binary\"\nbase_address = 0x8000", "format = \"srec\"\nbase_address = ^0x8000",
     "image.base_address belongs to format = \"binary\" only: the other formats carry their addresses"},
    {"base_address = 0x8000", "base_address = ^-1", "image.base_address must lie between 0 and 4294967295, found -1"},
    {"lambda_target = [", "^lambda_taget = [",
     "unknown key \"lambda_taget\" in image.roles; did you mean \"lambda_target\"?"},
    {"lambda_target = [", "^shift_time = [",
     "shift_time is a role of the gearbox's control unit ([gearbox_image.roles]), found in image.roles"},
    {"shift_up_speed = [", "^spark = [",
     "spark is a role of the engine's control unit ([image.roles]), found in gearbox_image.roles"},
    {"[{ table = \"LAMBDA_WOT\" }]", "^[]", "image.roles.lambda_target must name one table or more, found none"},
    {"[{ table = \"LAMBDA_WOT\" }]", "[^\"LAMBDA_WOT\"]",
     "image.roles.lambda_target must be a list of tables, found a text in it"},
    {"table = \"SPARK_LOW\"", "table = ^\"SPARK_MAIN\"", "image.roles.spark.table names \"SPARK_MAIN\" twice"},
    {"= \"engine_speed_rpm\"", "= ^\"engine_speed\"",
     "image.quantities.SPARK_MAIN.axis0 must be a canonical channel, found \"engine_speed\""},
    {"end = 0xBFFB", "end = ^0x7FFF", "image.checksums.end must not lie before start 0x8000, found 0x7fff"},
    {"end = 0xBFFB\nstore = 0xBFFC", "end = 0xBFFB\nstore = ^0xBFFA",
     "image.checksums.store must lie outside the bytes 0x8000 to 0xbffb that are summed, found 0xbffa"},
    {"word = 1", "word = ^3", "image.checksums.word must be 1, 2 or 4, found 3"},
    {"word = 1", "word = 1\npolynomial = ^0x1021", "image.checksums.polynomial belongs to a CRC, found beside a sum"},
    {"reflected = true", "reflected = true\nword = ^1", "image.checksums.word belongs to a sum, found beside a CRC"},
    {"\"crc32\"\nstart = 0xC000\nend = 0xFFFB\nstore = 0xFFFC\npolynomial = 0x04C11DB7",
     "\"crc16\"\nstart = 0xC000\nend = 0xFFFB\nstore = 0xFFFC\npolynomial = ^0x04C11DB7",
     "image.checksums.polynomial must lie between 1 and 65535, found 79764919"},
    {"end = 0xBFFB\nstore = 0xBFFC\nbyte_order = \"little\"\ncomplement = \"twos\"\nword = 1",
     "end = ^0xBFFA\nstore = 0xBFFC",
     "image.checksums.end must close a whole number of 2-byte words, found 16379 bytes"},
    {"store = 0xFFFC", "store = ^0xBFFB", "image.checksums.store must not overlap the one of line 132"},
};

TEST(JobRefused, Sections) { expect_refused(read_job, kJob, kSections); }
TEST(JobRefused, Vehicle) { expect_refused(read_job, kJob, kVehicle); }
TEST(JobRefused, Work) { expect_refused(read_job, kJob, kWork); }
TEST(JobRefused, Images) { expect_refused(read_job, kJob, kImages); }

}  // namespace
}  // namespace revwright::sheets
