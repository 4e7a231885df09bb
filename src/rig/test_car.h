#pragma once

#include "model/job.h"

namespace revwright::rig {

/// The example's job sheet as values, for tests that need no reader of sheets. car_sheet_test.cpp holds it against the
/// text of example_job_sheet().
inline JobSheet test_job() {
    JobSheet job;
    job.car.mass_kg = 1510.0;
    job.car.drag_area_m2 = 0.66;
    job.car.rolling_coefficient = 0.011;
    job.car.gear_ratios = {3.77, 2.09, 1.47, 1.10, 0.87, 0.73};
    job.car.final_drive = 3.65;
    job.car.wheel_inertia_kg_m2 = 1.1;
    job.car.driveline_loss_fraction = 0.11;
    job.car.rolling_circumference_m = 3.05 * 0.6597;
    job.engine.displacement_cm3 = 1998.0;
    job.engine.cylinders = 4;
    job.engine.compression_ratio = 9.6;
    job.engine.aspiration = Aspiration::turbocharged;
    job.engine.injection = Injection::direct;
    job.engine.inertia_kg_m2 = 0.16;
    job.engine.max_speed_rpm = 6800.0;
    job.fuel.ron = 98.0;
    job.site.altitude_m = 140.0;
    const auto drop = [](double before, double after) { return BeforeAfter{before, after, 0.18, {}}; };
    Hardware intake{.kind = HardwareKind::intake};
    intake.pressure_drop_kpa = drop(5.0, 3.4);
    Hardware exhaust{.kind = HardwareKind::exhaust};
    exhaust.pressure_drop_kpa = drop(36.0, 24.0);
    Hardware meter{.kind = HardwareKind::air_meter};
    meter.bore_mm = BeforeAfter{70.0, 72.5, {}, {}};
    meter.rescaled = false;
    job.hardware = {intake, exhaust, meter};
    ImageEntry image;
    const auto role = [&](Role r, const char* table) { image.roles[r] = {{.table = table, .when = {}, .where = {}}}; };
    role(Role::spark, "SPARK_MAIN");
    role(Role::lambda_target, "LAMBDA_FULL");
    role(Role::boost_target, "BOOST_TARGET");
    role(Role::wastegate_duty, "WASTEGATE_BASE");
    role(Role::air_meter, "METER_CURVE");
    role(Role::torque_limit, "TORQUE_LIMIT");
    role(Role::speed_limit, "SPEED_LIMIT");
    job.image = image;
    return job;
}

}  // namespace revwright::rig
