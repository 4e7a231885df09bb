#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/error.h"
#include "model/description.h"
#include "numeric/expression.h"

namespace revwright {

// What a data description (ASAM MCD-2 MC, "A2L") says of the parameters of a control unit. Nothing here is resolved
// against bytes: how many points an axis has may stand in the image itself. `image` joins the two.

/// How a number is stored.
enum class StoredType { u8, i8, u16, i16, u32, i32, u64, i64, f16, f32, f64 };

constexpr std::size_t size_of(StoredType type) {
    switch (type) {
        case StoredType::u8:
        case StoredType::i8:
            return 1;
        case StoredType::u16:
        case StoredType::i16:
        case StoredType::f16:
            return 2;
        case StoredType::u32:
        case StoredType::i32:
        case StoredType::f32:
            return 4;
        case StoredType::u64:
        case StoredType::i64:
        case StoredType::f64:
            return 8;
    }
    return 0;
}

/// physical = factor * count + offset: IDENTICAL, LINEAR, and a RAT_FUNC that is a straight line. factor is not 0.
struct LinearConversion {
    double factor = 1.0, offset = 0.0;
};
/// count = (a x^2 + b x + c) / (d x^2 + e x + f) of the physical x: RAT_FUNC that is no straight line.
struct RationalConversion {
    double a = 0.0, b = 0.0, c = 0.0, d = 0.0, e = 0.0, f = 0.0;
};
/// TAB_INTP and TAB_NOINTP: counts in the order of the file.
struct TableConversion {
    std::vector<double> counts = {}, values = {};
    bool interpolate = false;
    std::optional<double> otherwise = {};
};
/// TAB_VERB: a word for a count or, where high > low, for a range of them (both ends included for whole numbers).
struct WordConversion {
    struct Row {
        double low = 0.0, high = 0.0;
        std::string word = {};
    };
    std::vector<Row> rows = {};
    std::string otherwise = {};
};
/// FORM: physical from the count X1.
struct FormulaConversion {
    Expression expression;
    std::string text = {};
};
/// A conversion that is not understood: only the counts can be shown.
struct UnknownConversion {
    std::string why = {};
};
using Conversion = std::variant<LinearConversion, RationalConversion, TableConversion, WordConversion,
                                FormulaConversion, UnknownConversion>;

/// One thing that lies in the record of a parameter.
struct RecordItem {
    enum class Kind {
        values,        // FNC_VALUES
        axis_points,   // AXIS_PTS_X ..: the points of an axis
        axis_count,    // NO_AXIS_PTS_X ..: how many of them are used
        axis_pairs,    // AXIS_RESCALE_X ..: pairs of a rescaled axis
        pair_count,    // NO_RESCALE_X ..: how many pairs are used
        fixed_offset,  // OFFSET_X ..: a fixed axis whose first point,
        fixed_shift,   // SHIFT_OP_X ..: power of two between points,
        fixed_step,    // DIST_OP_X ..: or distance between them lies in memory
        other,         // IDENTIFICATION, SRC_ADDR_X, RIP_ADDR_X, RESERVED: takes its room, is not read
    };
    /// How the cells follow one another; docs/formats/a2l.md settles which axis is which.
    enum class Order { column_dir, row_dir, alternate_curves, alternate_with_x, alternate_with_y };

    Kind kind = Kind::other;
    std::size_t axis = 0;  // 0 = X, 1 = Y, 2 = Z, 3 = Z4, 4 = Z5; of the axis_ and fixed_ kinds
    StoredType type = StoredType::u8;
    int position = 0;         // order in memory, from 1; no offset
    bool descending = false;  // INDEX_DECR
    Order order = Order::row_dir;
    bool direct = true;      // false: the record holds an address, not the numbers (PBYTE, PWORD, PLONG)
    std::size_t length = 1;  // of `other`: how many of the type; of `axis_pairs`: the most pairs there can be
};

/// RECORD_LAYOUT: what lies in memory, in the order of `position`.
struct RecordLayout {
    std::string name = {};
    std::vector<RecordItem> items = {};
    std::map<StoredType, std::size_t> alignment = {};             // bytes; a type that is missing is aligned to 1
    std::array<std::optional<std::size_t>, 5> fixed_counts = {};  // FIX_NO_AXIS_PTS_X ..
    bool keeps_places = false;  // STATIC_RECORD_LAYOUT, STATIC_ADDRESS_OFFSETS: room for the most points stays taken
    std::string why_not = {};   // one sentence where something in it is not understood
};

/// One direction of a parameter.
struct ParameterAxis {
    enum class Kind { in_record, fixed, shared, rescaled, by_curve };  // STD_, FIX_, COM_, RES_, CURVE_AXIS
    Kind kind = Kind::in_record;
    std::string input = {};  // the measurement that indexes it, empty where there is none
    std::string unit = {};   // as the description writes it
    Conversion conversion = LinearConversion{};
    std::size_t most_points = 0;
    std::vector<double> fixed_counts = {};  // Kind::fixed: before the conversion; empty where they lie in the record
    std::string shared = {};                // shared, rescaled: the axis_points; by_curve: the curve
    bool differences = false;               // DEPOSIT DIFFERENCE: each point is stored as the step from the one before
    std::optional<ByteOrder> order = {};    // where it differs from the parameter's
    Place place = {};
};

/// CHARACTERISTIC or AXIS_PTS, or a component of an INSTANCE.
struct ParameterDescription {
    enum class Kind { value, block, text, curve, map, cuboid, axis_points };  // cuboid: three axes and more
    std::string name = {};       // of an instance's component: "instance.component"
    std::string explained = {};  // the long identifier
    Kind kind = Kind::value;
    std::uint64_t address = 0;
    unsigned address_extension = 0;  // not 0: another address space than the image's
    std::string layout = {};         // name of its RecordLayout
    ByteOrder order = ByteOrder::big;
    std::string unit = {};  // as the description writes it
    Conversion conversion = LinearConversion{};
    std::optional<double> min = {}, max = {};  // physical
    std::vector<std::size_t> dimensions = {};  // block: MATRIX_DIM or NUMBER; text: how many bytes; else empty
    std::vector<ParameterAxis> axes = {};      // axis_points: one, kind in_record, that says what its points are
    std::optional<std::uint64_t> bit_mask = {};
    std::string why_not =
        {};                 // why it is never written (virtual, dependent, read only ..), empty where nothing says so
    bool in_memory = true;  // false: a virtual parameter, which has no bytes
    Place place = {};
};

/// MEASUREMENT: what an axis' input is.
struct InputDescription {
    std::string name = {}, explained = {}, unit = {};
};

/// One description file with all it includes.
struct ParameterSet {
    std::string file = {};
    std::vector<ParameterDescription> parameters = {};  // in the order of the file
    std::map<std::string, RecordLayout, std::less<>> layouts = {};
    std::map<std::string, InputDescription, std::less<>> inputs = {};
    std::vector<std::string> notes = {};  // what was not understood or left out, one sentence each with its place
    struct Counts {                       // how many blocks of each kind the file holds
        std::size_t characteristics = 0, axis_points = 0, measurements = 0, record_layouts = 0, conversions = 0,
                    instances = 0;
    } counts = {};

    /// The parameter of that name; looks through all of them.
    const ParameterDescription* find(std::string_view name) const;
};

}  // namespace revwright
