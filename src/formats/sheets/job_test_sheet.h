#pragma once

namespace revwright::sheets {

/// An invented job with every key of the contract in use.
inline constexpr const char* kJob = R"(schema = "revwright.job/1"

[job]
id = "HEW-0042"
title = "Tolvane Arden 2.0T, Harrowgill Engine Works"

[goal]
torque_nm = 380.0
power_kw = 190

[site]
altitude_m = 140.0
slope_pct = 0.3

[worst_day]
ambient_temp_c = 38.0
ron = 95
altitude_m = 900
retard_allowed_deg = 3.5

[car]
mass_kg = 1480
mass_sd_kg = 12.5
drag_area_m2 = 0.62
drag_area_sd_m2 = 0.02
rolling_coefficient = 0.011
gear_ratios = [3.36, 2.09, 1.47, 1.1, 0.87, 0.73]
final_drive = 3.94
tyre = "225/45 R18 95Y"
wheel_inertia_kg_m2 = 1.1
driven_axle = "rear"
driveline_loss_fraction = 0.13
gearbox_torque_nm = 420
clutch_torque_nm = 460
rolling_circumference_m = 1.99

[engine]
displacement_cm3 = 1984
cylinders = 4
bore_mm = 82.5
stroke_mm = 92.8
rod_mm = 144
compression_ratio = 9.6
aspiration = "turbocharged"
injection = "direct"
inertia_kg_m2 = 0.17
max_speed_rpm = 6800
torque_max_nm = 420
peak_pressure_mpa = 11.5

[fuel]
ron = 98
ethanol_fraction = 0.05

[[hardware]]
kind = "intake"
pressure_drop_kpa = { before = 4.2, after = 2.1, at_kg_s = 0.18 }

[[hardware]]
kind = "air-meter"
bore_mm = { before = 70, after = 76 }
rescaled = false

[[hardware]]
kind = "exhaust"
pressure_drop_kpa = { before = 38, after = 21, at_kg_s = 0.19, at_temp_c = 780 }
catalyst = "sport"

[[hardware]]
kind = "charge-cooler"
effectiveness = { before = 0.62, after = 0.78 }
pressure_drop_kpa = { before = 7, after = 5, at_kg_s = 0.18 }

[[hardware]]
kind = "turbocharger"
map = "parts/turbo.csv"
reference_temp_k = 298
reference_pressure_kpa = 100
max_speed_rpm = 190000

[[hardware]]
kind = "injectors"
flow_g_s = 21
at_pressure_mpa = 10

[[hardware]]
kind = "fuel-pump"
flow_g_s = 40
at_pressure_mpa = 0.5

[[run]]
log = "logs/standard.csv"
image = "images/standard.bin"
place = "road"
direction = "north"
slope_pct = -0.4
occupants_kg = 160
ambient_temp_c = 17.5
ambient_pressure_kpa = 99.6
humidity_pct = 55
fuel_batch = "B1"
ron = 98

[[run]]
log = "logs/r1.csv"
image_sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
place = "inertia-dyno"
roller_inertia_kg_m2 = 38.5

[limits]
lambda_max = { value = 0.88, reason = "hot cylinder head" }
intake_temp_c = { value = 60, reason = "charge cooler of the standard car" }

[policy]
first_spark_step_deg = 0.75
spark_step_deg = 1.25
sigma = 2.5

[image]
file = "images/standard.bin"
description = "images/tables.toml"
format = "binary"
base_address = 0x8000

[image.roles]
spark = [{ table = "SPARK_MAIN" }, { table = "SPARK_LOW", when = "octane-low" }]
lambda_target = [{ table = "LAMBDA_WOT" }]

[image.quantities]
"SPARK_MAIN.axis0" = "engine_speed_rpm"

[[image.checksums]]
kind = "sum16"
start = 0x8000
end = 0xBFFB
store = 0xBFFC
byte_order = "little"
complement = "twos"
word = 1

[[image.checksums]]
kind = "crc32"
start = 0xC000
end = 0xFFFB
store = 0xFFFC
polynomial = 0x04C11DB7
initial = 0xFFFFFFFF
reflected = true
final_xor = 0xFFFFFFFF

[gearbox_image]
file = "images/gearbox.s19"
description = "images/gearbox.toml"
format = "srec"

[gearbox_image.roles]
shift_up_speed = [{ table = "SHIFT_UP" }]
)";

}  // namespace revwright::sheets
