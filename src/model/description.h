#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/error.h"
#include "model/channel.h"

namespace revwright {

enum class RawType { u8, i8, u16, i16, u32, i32, f32 };
enum class ByteOrder { big, little };

constexpr std::size_t size_of(RawType type) {
    switch (type) {
        case RawType::u8:
        case RawType::i8:
            return 1;
        case RawType::u16:
        case RawType::i16:
            return 2;
        case RawType::u32:
        case RawType::i32:
        case RawType::f32:
            return 4;
    }
    return 0;
}

/// How a number lies in memory and what it means: physical = factor * raw + offset.
struct Coding {
    RawType type = RawType::u8;
    ByteOrder order = ByteOrder::big;
    double factor = 1.0;  // never 0
    double offset = 0.0;
    friend bool operator==(const Coding&, const Coding&) = default;
};

/// Axis points that lie in the image, or are fixed by the description (in the unit of the axis' channel).
struct AxisInMemory {
    std::uint64_t address = 0;
    Coding coding = {};
};
struct AxisFixed {
    std::vector<double> points;
};

struct AxisDescription {
    ChannelKey quantity = {};
    std::size_t size = 0;
    std::variant<AxisInMemory, AxisFixed> source = {};
    std::string shared = {};  // name of the shared axis it refers to, empty where it has its own
    Place place = {};
};

/// One calibration value (no axis), curve (one) or map (two). Cells are counted row-major in the order of `shape`
/// everywhere outside memory; `column_major` says how they lie in memory.
struct TableDescription {
    std::string name;
    ChannelKey quantity = {};  // what a cell holds
    std::uint64_t address = 0;
    Coding coding = {};
    std::optional<double> min = {};  // physical
    std::optional<double> max = {};
    std::vector<std::size_t> shape = {};
    bool column_major = false;
    std::vector<AxisDescription> axes = {};
    bool writable = true;
    std::string why_not = {};  // one sentence where it is not writable
    Place place = {};

    std::size_t cells() const {
        std::size_t count = 1;
        for (const std::size_t n : shape) count *= n;
        return count;
    }
};

/// What makes the bytes of an image tables: our table sheet, later A2L.
struct Description {
    std::string file;
    std::vector<TableDescription> tables = {};
    const TableDescription* find(std::string_view name) const;
};

}  // namespace revwright
