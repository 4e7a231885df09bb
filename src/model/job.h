#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/digest.h"
#include "core/error.h"
#include "model/channel.h"
#include "model/compressor_map.h"
#include "model/description.h"
#include "model/limits.h"
#include "model/role.h"

namespace revwright {

// The job sheet as a calibrator writes it: names and units are those of the file. Physics takes dimensioned types.

struct Goal {
    std::optional<double> torque_nm, power_kw;
};

struct Site {
    double altitude_m = 0.0;
    double slope_pct = 0.0;
};

struct WorstDay {
    std::optional<double> ambient_temp_c, ron, altitude_m;
    double retard_allowed_deg = 4.0;
};

/// On the level, in neutral, air at 100 kPa and 20 C: F = a + b v + c v^2.
struct Coastdown {
    double a_n = 0.0, b_n_per_m_s = 0.0, c_n_per_m2_s2 = 0.0;
};

/// Tyre size such as 225/45 R18 95Y.
struct Tyre {
    int width_mm = 0;
    int aspect_pct = 0;
    double rim_in = 0.0;
    int load_index = 0;        // 0 = not stated
    std::string speed_symbol;  // "Y", empty = not stated
};

enum class DrivenAxle { front, rear, all };

struct Car {
    double mass_kg = 0.0;
    std::optional<double> mass_sd_kg, drag_area_m2, drag_area_sd_m2, rolling_coefficient;
    std::optional<Coastdown> coastdown;
    std::vector<double> gear_ratios;
    double final_drive = 0.0;
    Tyre tyre;
    double wheel_inertia_kg_m2 = 1.0;
    DrivenAxle driven_axle = DrivenAxle::front;
    double driveline_loss_fraction = 0.12;
    std::vector<double> gearbox_torque_nm;  // empty, one for all, or one per gear
    std::optional<double> clutch_torque_nm;
    double rolling_circumference_m = 0.0;  // set on reading: stated, or 3.05 x tyre diameter
};

enum class Aspiration { naturally_aspirated, turbocharged };
enum class Injection { direct, port };

struct Engine {
    double displacement_cm3 = 0.0;
    int cylinders = 0;
    std::optional<double> bore_mm, stroke_mm, rod_mm;
    double compression_ratio = 0.0;
    Aspiration aspiration = Aspiration::naturally_aspirated;
    Injection injection = Injection::port;
    double inertia_kg_m2 = 0.15;
    double max_speed_rpm = 0.0;
    std::optional<double> torque_max_nm, peak_pressure_mpa;
    bool turbocharged() const { return aspiration == Aspiration::turbocharged; }
};

struct Fuel {
    double ron = 0.0;
    double ethanol_fraction = 0.0;  // by volume
};

/// before and after, as data of a hardware change; at_* say at which flow and temperature it holds.
struct BeforeAfter {
    double before = 0.0, after = 0.0;
    std::optional<double> at_kg_s, at_temp_c;
};

enum class HardwareKind { intake, exhaust, charge_cooler, turbocharger, injectors, fuel_pump, air_meter };
enum class Catalyst { kept, sport, removed };

struct Hardware {
    HardwareKind kind = HardwareKind::intake;
    std::optional<BeforeAfter> pressure_drop_kpa, bore_mm, effectiveness;
    std::optional<bool> rescaled;
    std::optional<Catalyst> catalyst;
    std::string map;                               // compressor map file, relative to the job sheet
    std::optional<CompressorMap> compressor = {};  // what that file holds, once it has been read
    std::optional<double> reference_temp_k, reference_pressure_kpa, max_speed_rpm, flow_g_s, at_pressure_mpa;
};

enum class RunPlace { road, inertia_dyno, brake_dyno };

/// A logged drive tied to the image it was driven with.
struct RunEntry {
    std::string log;                     // path, relative to the job sheet
    std::string image;                   // path, empty where only the digest is given
    std::optional<Digest> image_sha256;  // one of the two is always there
    RunPlace place = RunPlace::road;
    std::optional<double> roller_inertia_kg_m2;
    std::string direction;
    std::optional<double> slope_pct, occupants_kg, ambient_temp_c, ambient_pressure_kpa, humidity_pct, ron;
    std::string fuel_batch;
    Place where;
};

/// How far one revision may go. Caps bind toward risk only; safe moves are not capped.
struct Policy {
    double first_spark_step_deg = 1.0;
    double spark_step_deg = 1.5;
    double spark_total_deg = 6.0;
    double knock_margin_deg = 1.0;
    double boost_step_kpa = 5.0;
    double boost_total_kpa = 40.0;
    double lambda_step = 0.03;
    double pulls_needed = 2.0;
    double events_needed = 100.0;
    double knock_rate_max = 0.03;  // pooled 95 % upper bound
    double sigma = 2.0;
    double low_speed_rpm = 2200.0;
};

/// A table that plays a role; `when` names the condition under which the control unit reads it, empty = always.
struct RoleTable {
    std::string table;
    std::string when;
    Place where;
};

enum class ImageFormat { binary, ihex, srec };
enum class ChecksumKind { sum8, sum16, sum32, crc16, crc32 };
enum class Complement { none, ones, twos };

constexpr bool is_crc(ChecksumKind kind) { return kind == ChecksumKind::crc16 || kind == ChecksumKind::crc32; }

/// Bytes a checksum takes where it is stored.
constexpr std::size_t stored_bytes(ChecksumKind kind) {
    switch (kind) {
        case ChecksumKind::sum8:
            return 1;
        case ChecksumKind::sum16:
        case ChecksumKind::crc16:
            return 2;
        case ChecksumKind::sum32:
        case ChecksumKind::crc32:
            return 4;
    }
    return 0;
}

/// A region whose checksum the control unit verifies. Addresses are in the image's address space; end is inclusive.
struct ChecksumRegion {
    ChecksumKind kind = ChecksumKind::sum32;
    std::uint64_t start = 0, end = 0, store = 0;
    ByteOrder byte_order = ByteOrder::big;
    Complement complement = Complement::none;
    int word = 0;  // bytes added at a time by a sum: 1, 2 or 4; set on reading
    std::uint32_t polynomial = 0, initial = 0, final_xor = 0;
    bool reflected = false;
    Place where;
};

struct ImageEntry {
    std::string file;         // always the standard image; path relative to the job sheet
    std::string description;  // table sheet or A2L; path relative to the job sheet
    ImageFormat format = ImageFormat::binary;
    std::uint64_t base_address = 0;
    std::map<Role, std::vector<RoleTable>> roles;
    std::map<std::string, ChannelKey> quantities;
    std::vector<ChecksumRegion> checksums;
};

struct JobSheet {
    std::string file;  // as given by the user
    std::string id, title;
    Goal goal;
    Site site;
    std::optional<WorstDay> worst_day;
    Car car;
    Engine engine;
    Fuel fuel;
    std::vector<Hardware> hardware;
    std::vector<RunEntry> runs;
    Limits limits{false};
    Policy policy;
    std::optional<ImageEntry> image, gearbox_image;
    std::vector<std::string> defaults_used;  // one sentence each: "drag area taken as 0.65 m2"
};

}  // namespace revwright
