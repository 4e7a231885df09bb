#include "image/random_image.h"

#include <algorithm>
#include <cstdlib>
#include <fmt/format.h>

#include "image/checksum.h"
#include "image/layout.h"
#include "image/read.h"
#include "model/coding.h"

namespace revwright {
namespace {

// The same cases on every run, unless RC_PARAMS asks for others.
[[maybe_unused]] const int kSeeded = setenv("RC_PARAMS", "seed=20261125", 0);

template <class T>
T within(T low, T end) {
    return *rc::gen::inRange<T>(low, end);
}

Coding any_coding() {
    Coding coding;
    coding.type = *rc::gen::element(RawType::u8, RawType::i8, RawType::u16, RawType::i16, RawType::u32, RawType::i32,
                                    RawType::f32);
    coding.order = *rc::gen::element(ByteOrder::big, ByteOrder::little);
    coding.factor = *rc::gen::element(1.0, 0.75, -0.5, 0.001, -0.1, 1e-7);
    coding.offset = *rc::gen::element(0.0, -40.0, 273.15);
    return coding;
}

double any_raw(RawType type) {
    if (type == RawType::f32) return static_cast<float>(within(-1000000, 1000000)) / 256.0f;
    const RawRange range = raw_range(type);
    return static_cast<double>(within(static_cast<std::int64_t>(range.low), static_cast<std::int64_t>(range.high) + 1));
}

void put(Image& image, const Coding& coding, double raw) {
    const std::size_t size = size_of(coding.type);
    image.bytes.resize(image.bytes.size() + size);
    write_raw(std::span(image.bytes).last(size), coding, raw);
}

void put_gap(Image& image) {
    for (int left = within(0, 4); left > 0; --left) image.bytes.push_back(static_cast<std::uint8_t>(within(0, 256)));
}

std::uint64_t next_address(const Image& image) { return image.base_address + image.bytes.size(); }

AxisDescription any_axis(std::size_t size, Signal signal, Image& image) {
    AxisDescription axis{{signal}, size, {}, {}, {}};
    if (*rc::gen::arbitrary<bool>()) {
        AxisFixed fixed;
        for (std::size_t i = 0; i < size; ++i) fixed.points.push_back(100.0 * static_cast<double>(i));
        axis.source = fixed;
        return axis;
    }
    const Coding coding = any_coding();
    axis.source = AxisInMemory{next_address(image), coding};
    // Rising in physical value: counts fall where the factor is negative.
    for (std::size_t i = 0; i < size; ++i)
        put(image, coding, 10.0 * static_cast<double>(coding.factor > 0.0 ? i : size - 1 - i));
    return axis;
}

TableDescription any_table(std::size_t number, Image& image) {
    TableDescription table;
    table.name = fmt::format("TABLE_{}", number);
    table.quantity = {Signal::spark_deg};
    table.coding = any_coding();
    table.column_major = *rc::gen::arbitrary<bool>();
    table.place = {"sample.toml", number + 1, 1};
    const Signal signals[] = {Signal::engine_speed_rpm, Signal::charge_pct};
    for (std::size_t dimensions = within<std::size_t>(0, 3), d = 0; d < dimensions; ++d) {
        table.shape.push_back(within<std::size_t>(1, 6));
        put_gap(image);
        table.axes.push_back(any_axis(table.shape.back(), signals[d], image));
    }
    put_gap(image);
    table.address = next_address(image);
    for (std::size_t flat = 0; flat < table.cells(); ++flat) put(image, table.coding, any_raw(table.coding.type));
    return table;
}

ChecksumRegion any_region(Image& image) {
    ChecksumRegion region;
    region.kind = *rc::gen::element(ChecksumKind::sum8, ChecksumKind::sum16, ChecksumKind::sum32, ChecksumKind::crc16,
                                    ChecksumKind::crc32);
    region.byte_order = *rc::gen::element(ByteOrder::big, ByteOrder::little);
    region.complement = *rc::gen::element(Complement::none, Complement::ones, Complement::twos);
    region.word = *rc::gen::element(1, 2, 4);
    region.reflected = *rc::gen::arbitrary<bool>();
    region.polynomial = region.kind == ChecksumKind::crc16 ? 0x1021u : 0x04C11DB7u;
    region.initial = region.kind == ChecksumKind::crc16 ? 0xFFFFu : 0xFFFFFFFFu;
    while (image.bytes.size() % 4 != 0) image.bytes.push_back(0xA5);
    region.start = image.base_address;
    region.end = next_address(image) - 1;
    region.store = next_address(image);
    image.bytes.resize(image.bytes.size() + store_range(region).length);
    return region;
}

}  // namespace

rc::Gen<SampleImage> sample_image() {
    return rc::gen::exec([] {
        SampleImage sample;
        sample.image.file = "sample.bin";
        sample.image.base_address = *rc::gen::element<std::uint64_t>(0, 0x80000000, 0xFFFFFFFFFFFF0000);
        for (std::size_t tables = within<std::size_t>(1, 5), i = 0; i < tables; ++i)
            sample.description.tables.push_back(any_table(i, sample.image));
        put_gap(sample.image);
        for (int regions = within(0, 4); regions > 0; --regions) sample.regions.push_back(any_region(sample.image));
        put_gap(sample.image);
        std::ranges::reverse(sample.regions);  // declared against the order in which they must be settled
        RC_ASSERT(settle(sample.regions, sample.image).has_value());
        sample.image.digest = sha256(sample.image.bytes);
        return sample;
    });
}

rc::Gen<Proposal> approved_proposal(const SampleImage& sample) {
    return rc::gen::exec([sample] {
        const TableSet tables = *read_tables(sample.description, sample.image);
        Proposal proposal;
        proposal.parent = sample.image.digest;
        for (const Table& table : tables.tables) {
            ProposedTable proposed{Role::spark, table.name(), "deg", table.axes, {}};
            for (std::size_t flat = 0; flat < table.values.size(); ++flat) {
                if (within(0, 3) != 0) continue;
                const double to = physical(table.description.coding, any_raw(table.description.coding.type));
                proposed.cells.push_back(
                    {table.at(flat), table.values[flat], to, Bound::step, {}, "moved by the test"});
                proposal.approvals.push_back(
                    {Role::spark, table.name(), table.at(flat), "A. Test", "2026-01-01T00:00Z"});
            }
            proposal.tables.push_back(proposed);
        }
        return proposal;
    });
}

}  // namespace revwright
