#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "image/build.h"
#include "image/compare_parameters.h"
#include "image/parameter_testing.h"
#include "image/read.h"
#include "image/tables_of_parameters.h"

namespace revwright {
namespace {

using namespace testing_parameters;

/// Decisions, one byte each; 0 when none is left.
class Tape {
public:
    explicit Tape(const std::vector<std::uint8_t>& bytes) : bytes_(bytes) {}
    unsigned next(unsigned below) { return at_ < bytes_.size() ? bytes_[at_++] % below : 0; }

private:
    const std::vector<std::uint8_t>& bytes_;
    std::size_t at_ = 0;
};

RecordItem any_item(Tape& tape) {
    RecordItem item{.kind = static_cast<Item>(tape.next(9)),
                    .axis = tape.next(6),
                    .type = static_cast<StoredType>(tape.next(11)),
                    .position = static_cast<int>(tape.next(6)),
                    .descending = tape.next(2) == 1,
                    .order = static_cast<Order>(tape.next(5))};
    item.direct = tape.next(20) != 1;
    item.length = tape.next(7) == 1 ? std::size_t{1} << 62U : tape.next(4);
    return item;
}

ParameterAxis any_axis(Tape& tape) {
    ParameterAxis axis{.kind = static_cast<ParameterAxis::Kind>(tape.next(5)), .most_points = tape.next(5)};
    if (tape.next(30) == 1) axis.most_points = ~std::size_t{0};
    axis.shared = std::string(1, static_cast<char>('A' + tape.next(5)));
    axis.differences = tape.next(2) == 1;
    if (axis.kind == ParameterAxis::Kind::fixed) axis.fixed_counts.assign(tape.next(4), 2.0);
    return axis;
}

/// Any layouts and parameters, whether they fit or not.
ParameterSet any_set(const std::vector<std::uint8_t>& bytes) {
    Tape tape(bytes);
    ParameterSet set{.file = "any.a2l"};
    for (const char* name : {"L", "M"}) {
        RecordLayout& layout = set.layouts[name];
        for (unsigned i = tape.next(6); i > 0; --i) layout.items.push_back(any_item(tape));
        layout.alignment[static_cast<StoredType>(tape.next(11))] = tape.next(5);
        layout.keeps_places = tape.next(2) == 1;
        if (tape.next(3) == 1) layout.fixed_counts[tape.next(5)] = tape.next(6);
    }
    for (char name = 'A'; name < 'E'; ++name) {
        ParameterDescription parameter{.name = std::string(1, name),
                                       .kind = static_cast<Kind>(tape.next(7)),
                                       .address = kBase + tape.next(40),
                                       .layout = tape.next(2) == 1 ? "L" : "M"};
        if (tape.next(20) == 1) parameter.address = ~std::uint64_t{0} - tape.next(3);
        for (unsigned i = tape.next(4); i > 0; --i) parameter.axes.push_back(any_axis(tape));
        for (unsigned i = tape.next(4); i > 0; --i) parameter.dimensions.push_back(tape.next(5));
        if (tape.next(4) == 1) parameter.bit_mask = tape.next(256);
        if (tape.next(4) == 1) parameter.conversion = RationalConversion{1, 2, 3, 0, 0, 1};
        if (tape.next(4) == 1) parameter.conversion = WordConversion{.rows = {{0, 100, "low"}}};
        set.parameters.push_back(std::move(parameter));
    }
    return set;
}

std::vector<ParameterQuantities> all_known(const ParameterSet& set) {
    std::vector<ParameterQuantities> known;
    for (const ParameterDescription& parameter : set.parameters) {
        ParameterQuantities& one = known.emplace_back();
        one.cells = ChannelKey{Signal::lambda};
        one.axes.assign(parameter.axes.size(), ChannelKey{Signal::lambda});
    }
    return known;
}

// Whatever a description says of whatever image: it is read or it says why, and what is called a table reads as one.
RC_GTEST_PROP(AnyParameters, AreReadOrSayWhy, (const std::vector<std::uint8_t>& bytes)) {
    const auto tape = *rc::gen::container<std::vector<std::uint8_t>>(200, rc::gen::arbitrary<std::uint8_t>());
    const ParameterSet set = any_set(tape);
    std::vector<std::uint8_t> image_bytes = bytes;
    image_bytes.resize(64, 2);
    const Image image = image_of(image_bytes);
    const auto parameters = read_parameters(set, image, all_known(set));
    for (const ReadParameter& read : parameters.reading.parameters) {
        RC_ASSERT(read.writable == read.why_not.empty());
        RC_ASSERT(read.values.empty() || read.values.size() == read.raw.size());
    }
    const Description description = tables_of_parameters(set, parameters);
    const auto tables = read_tables(description, image);
    if (!tables) RC_FAIL(tables.error().what);
    for (const Table& table : tables->tables)
        for (const ReadParameter& read : parameters.reading.parameters)
            if (read.name == table.name()) RC_ASSERT(read.raw == table.raw);
}

// No byte that differs goes untold: it is in a listed cell, or outside.
RC_GTEST_PROP(AnyParameters, HideNoDifference, (const std::vector<std::uint8_t>& bytes)) {
    const auto tape = *rc::gen::container<std::vector<std::uint8_t>>(200, rc::gen::arbitrary<std::uint8_t>());
    const ParameterSet set = any_set(tape);
    std::vector<std::uint8_t> before = bytes, after;
    before.resize(64, 2);
    after = before;
    after[*rc::gen::inRange<std::size_t>(0, 64)] ^= static_cast<std::uint8_t>(*rc::gen::inRange(1, 256));
    const Image a = image_of(before), b = image_of(after);
    const auto comparison = compare_parameters(set, {}, a, read_parameters(set, a), b, read_parameters(set, b));
    if (comparison) RC_ASSERT(!comparison->tables.empty() || !comparison->outside.empty());
}

}  // namespace
}  // namespace revwright
