#include "rig/example_car.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <fmt/format.h>

#include "core/digest.h"
#include "rig/example_tables.h"
#include "rig/random.h"

namespace revwright::rig {
namespace {

constexpr std::size_t kImageBytes = 0x10000;
constexpr std::size_t kSumStore = 0xFF00, kCrcStore = 0xFF10;
constexpr std::size_t kDataFirst = 0x4000, kDataLast = 0x7FFF;        // under the sum
constexpr std::size_t kProgramFirst = 0x0000, kProgramLast = 0xFEFF;  // under the CRC, data included

double raw_of(double physical, const Coding& coding, bool down) {
    const double exact = (physical - coding.offset) / coding.factor;
    if (coding.type == RawType::f32) return static_cast<double>(static_cast<float>(exact));
    return down ? std::floor(exact + 1e-9) : std::round(exact);
}

std::uint32_t bits_of(double raw, RawType type) {
    if (type == RawType::f32) return std::bit_cast<std::uint32_t>(static_cast<float>(raw));
    return static_cast<std::uint32_t>(static_cast<std::int64_t>(raw));
}

void store(std::vector<std::uint8_t>& image, std::size_t at, std::uint32_t bits, std::size_t size, ByteOrder order) {
    for (std::size_t i = 0; i < size; ++i) {
        const std::size_t shift = 8 * (order == ByteOrder::big ? size - 1 - i : i);
        image[at + i] = static_cast<std::uint8_t>(bits >> shift);
    }
}

void store_list(std::vector<std::uint8_t>& image, std::uint64_t address, const Coding& coding,
                const std::vector<double>& physical, bool down) {
    const std::size_t size = size_of(coding.type);
    for (std::size_t i = 0; i < physical.size(); ++i)
        store(image, static_cast<std::size_t>(address - kExampleBaseAddress) + i * size,
              bits_of(raw_of(physical[i], coding, down), coding.type), size, coding.order);
}

/// Cells in the order in which they lie in memory.
std::vector<double> in_memory_order(const ExampleTable& table) {
    const auto& shape = table.description.shape;
    if (!table.description.column_major || shape.size() != 2) return table.wanted;
    std::vector<double> cells;
    for (std::size_t column = 0; column < shape[1]; ++column)
        for (std::size_t row = 0; row < shape[0]; ++row) cells.push_back(table.wanted[row * shape[1] + column]);
    return cells;
}

void store_table(std::vector<std::uint8_t>& image, const ExampleTable& table) {
    const TableDescription& about = table.description;
    store_list(image, about.address, about.coding, in_memory_order(table), table.round_down);
    for (std::size_t i = 0; i < about.axes.size(); ++i)
        if (const auto* memory = std::get_if<AxisInMemory>(&about.axes[i].source))
            store_list(image, memory->address, memory->coding, table.axis_points[i], false);
}

/// CRC-32/ISO-HDLC: polynomial 04C11DB7 reflected, all ones in and out.
std::uint32_t crc32(std::span<const std::uint8_t> bytes) {
    std::uint32_t crc = 0xFFFFFFFFU;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? (crc >> 1) ^ 0xEDB88320U : crc >> 1;
    }
    return crc ^ 0xFFFFFFFFU;
}

std::string_view type_name(RawType type) {
    constexpr std::string_view kNames[] = {"u8", "i8", "u16", "i16", "u32", "i32", "f32"};
    return kNames[static_cast<std::size_t>(type)];
}

std::string coding_text(const Coding& coding) {
    return fmt::format("type = \"{}\"\nfactor = {}\noffset = {}\nbyte_order = \"{}\"\n", type_name(coding.type),
                       coding.factor, coding.offset, coding.order == ByteOrder::big ? "big" : "little");
}

std::string axis_text(const AxisDescription& axis) {
    std::string text = fmt::format("quantity = \"{}\"\n", to_string(axis.quantity));
    if (!axis.shared.empty()) return text + fmt::format("shared = \"{}\"\n", axis.shared);
    if (const auto* fixed = std::get_if<AxisFixed>(&axis.source))
        return text + fmt::format("values = [{}]\n", fmt::join(fixed->points, ", "));
    const auto& memory = std::get<AxisInMemory>(axis.source);
    return text + fmt::format("address = {:#x}\n", memory.address) + coding_text(memory.coding);
}

std::string shared_axes_text(const std::vector<ExampleTable>& tables) {
    for (const ExampleTable& table : tables)
        for (const AxisDescription& axis : table.description.axes)
            if (!axis.shared.empty()) {
                const auto& memory = std::get<AxisInMemory>(axis.source);
                return fmt::format("[[axis]]\nname = \"{}\"\npoints = {}\nquantity = \"{}\"\naddress = {:#x}\n{}\n",
                                   axis.shared, axis.size, to_string(axis.quantity), memory.address,
                                   coding_text(memory.coding));
            }
    return {};
}

std::string table_text(const TableDescription& table) {
    std::string text = fmt::format(
        "[[table]]\nname = \"{}\"\nquantity = \"{}\"\naddress = {:#x}\n{}min = {}\nmax = {}\nshape = [{}]\n",
        table.name, to_string(table.quantity), table.address, coding_text(table.coding), *table.min, *table.max,
        fmt::join(table.shape, ", "));
    if (table.shape.size() > 1)
        text += fmt::format("layout = \"{}\"\n", table.column_major ? "column-major" : "row-major");
    for (const AxisDescription& axis : table.axes) text += "[[table.axis]]\n" + axis_text(axis);
    return text + "\n";
}

}  // namespace

std::vector<std::uint8_t> standard_image() {
    std::vector<std::uint8_t> image(kImageBytes, 0xFF);
    Random random{1998, 7};
    // Something like a program and constants around the tables; the end of the image stays erased.
    for (std::size_t i = 0; i < 0xE000; ++i) image[i] = static_cast<std::uint8_t>(random.next() >> 56);
    for (const ExampleTable& table : example_tables()) store_table(image, table);
    std::uint32_t sum = 0;
    for (std::size_t i = kDataFirst; i <= kDataLast; i += 2)
        sum += (static_cast<std::uint32_t>(image[i]) << 8) | image[i + 1];
    store(image, kSumStore, ~sum + 1U, 4, ByteOrder::big);
    const auto program = std::span{image}.subspan(kProgramFirst, kProgramLast - kProgramFirst + 1);
    store(image, kCrcStore, crc32(program), 4, ByteOrder::little);
    return image;
}

std::string example_table_sheet() {
    const auto tables = example_tables();
    std::string text =
        "# Tolvane Arden 2.0T, standard calibration: what the bytes of the image mean. Invented, like the car.\n"
        "schema = \"revwright.tables/1\"\nbyte_order = \"big\"\n\n" +
        shared_axes_text(tables);
    for (const ExampleTable& table : tables) text += table_text(table.description);
    return text;
}

TableSet standard_tables() {
    TableSet set{.image = sha256(standard_image()), .tables = {}};
    for (const ExampleTable& example : example_tables()) {
        Table table{.description = example.description};
        for (const double wanted : example.wanted) {
            table.raw.push_back(raw_of(wanted, example.description.coding, example.round_down));
            table.values.push_back(example.description.coding.factor * table.raw.back() +
                                   example.description.coding.offset);
        }
        for (std::size_t i = 0; i < example.axis_points.size(); ++i) {
            auto axis = Axis::make(table.name(), example.description.axes[i].quantity, example.axis_points[i]);
            assert(axis && "the example's axes rise");
            table.axes.push_back(*axis);
        }
        set.tables.push_back(std::move(table));
    }
    return set;
}

std::string example_job_sheet() {
    return fmt::format(
        R"(# Harrowgill Engine Works: a freer intake and exhaust on a Tolvane Arden 2.0T. Workshop, car and numbers are invented.
schema = "revwright.job/1"

[job]
id = "HEW-0117"
title = "Tolvane Arden 2.0T: freer intake and exhaust"

[goal]
torque_nm = 350
power_kw = 178

[site]
altitude_m = 140
slope_pct = 0.0

[car]
mass_kg = 1510
mass_sd_kg = 8
drag_area_m2 = 0.66
drag_area_sd_m2 = 0.02
rolling_coefficient = 0.011
gear_ratios = [3.77, 2.09, 1.47, 1.10, 0.87, 0.73]
final_drive = 3.65
tyre = "225/45 R18 95Y"
wheel_inertia_kg_m2 = 1.1
driven_axle = "front"
driveline_loss_fraction = 0.11
gearbox_torque_nm = 420
clutch_torque_nm = 470

[engine]
displacement_cm3 = 1998
cylinders = 4
bore_mm = 82.5
stroke_mm = 93.4
rod_mm = 148
compression_ratio = 9.6
aspiration = "turbocharged"
injection = "direct"
inertia_kg_m2 = 0.16
max_speed_rpm = 6800
torque_max_nm = 430

[fuel]
ron = 98
ethanol_fraction = 0.0

[[hardware]]
kind = "intake"
pressure_drop_kpa = {{ before = 5.0, after = 3.4, at_kg_s = 0.18 }}

[[hardware]]
kind = "exhaust"
pressure_drop_kpa = {{ before = 36.0, after = 24.0, at_kg_s = 0.18, at_temp_c = 720 }}
catalyst = "kept"

[[hardware]]
kind = "air-meter"
bore_mm = {{ before = 70.0, after = 72.5 }}
rescaled = false

[image]
file = "{0}"
description = "{1}"
format = "binary"
base_address = {2:#x}

[image.roles]
spark = [{{ table = "SPARK_MAIN" }}]
lambda_target = [{{ table = "LAMBDA_FULL" }}]
boost_target = [{{ table = "BOOST_TARGET" }}]
wastegate_duty = [{{ table = "WASTEGATE_BASE" }}]
air_meter = [{{ table = "METER_CURVE" }}]
torque_limit = [{{ table = "TORQUE_LIMIT" }}]
speed_limit = [{{ table = "SPEED_LIMIT" }}]

[[image.checksums]]
kind = "sum32"
start = {3:#x}
end = {4:#x}
store = {5:#x}
byte_order = "big"
word = 2
complement = "twos"

[[image.checksums]]
kind = "crc32"
start = {6:#x}
end = {7:#x}
store = {8:#x}
byte_order = "little"
polynomial = 0x04C11DB7
initial = 0xFFFFFFFF
reflected = true
final_xor = 0xFFFFFFFF
)",
        kExampleImageFile, kExampleTableSheetFile, kExampleBaseAddress, kExampleBaseAddress + kDataFirst,
        kExampleBaseAddress + kDataLast, kExampleBaseAddress + kSumStore, kExampleBaseAddress + kProgramFirst,
        kExampleBaseAddress + kProgramLast, kExampleBaseAddress + kCrcStore);
}

std::string run_entry(const RunText& run) {
    std::string text = fmt::format("\n[[run]]\nlog = \"{}\"\n", run.log);
    if (!run.image.empty())
        text += fmt::format("image = \"{}\"\n", run.image);
    else
        text += fmt::format("image_sha256 = \"{}\"\n", run.image_sha256);
    text +=
        fmt::format("place = \"road\"\ndirection = \"east\"\nambient_temp_c = {:.1f}\nambient_pressure_kpa = {:.1f}\n",
                    run.ambient_temp_c, run.ambient_pressure_kpa);
    if (!run.fuel_batch.empty()) text += fmt::format("fuel_batch = \"{}\"\n", run.fuel_batch);
    return text;
}

}  // namespace revwright::rig
