#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "formats/a2l/lexer.h"
#include "model/parameter.h"

namespace revwright::a2l {

// What the blocks of one MODULE say, before their names are followed. A name is kept as its token, so that a sentence
// about it can say where it stands.

/// Objects of one kind by name, in the order of the file. The first of a name stays.
template <class T>
class Named {
public:
    struct Entry {
        T value = {};
        std::string_view written = {};  // the whole block
        bool contested = false;         // another one of the same name says something else
    };
    /// The entry that has the name already; nullptr where the new one was taken.
    Entry* add(const Token& name, T value, std::string_view written) {
        const auto [at, fresh] = by_name_.try_emplace(name.text, entries_.size());
        if (fresh) {
            entries_.push_back({std::move(value), written});
            return nullptr;
        }
        Entry& first = entries_[at->second];
        if (written.empty() || first.written != written) first.contested = true;
        return &first;
    }
    Entry* find(std::string_view name) {
        const auto at = by_name_.find(name);
        return at == by_name_.end() ? nullptr : &entries_[at->second];
    }
    std::deque<Entry>& entries() { return entries_; }
    std::size_t size() const { return entries_.size(); }

private:
    std::deque<Entry> entries_ = {};
    std::unordered_map<std::string_view, std::size_t> by_name_ = {};
};

/// BYTE_ORDER as it is written, or that it is not. BIG_ENDIAN and LITTLE_ENDIAN were explained the other way round
/// in editions before 1.6, so nobody can tell what a file means by them.
enum class OrderWord { none, big, little, unsure_big, unsure_little, mixed };

/// FIX_AXIS_PAR, FIX_AXIS_PAR_DIST: points at even distances.
struct EvenPoints {
    double first = 0.0, between = 0.0;
    std::uint64_t count = 0;
};

struct RawAxis {
    ParameterAxis axis = {};
    std::optional<EvenPoints> even = {};
    Token at = {};
    Token conversion = {};
    std::optional<std::string> unit = {};
    std::optional<bool> differences = {};
    OrderWord order = OrderWord::none;
    unsigned fixed_forms = 0;  // how many FIX_AXIS_PAR ..
    std::string why_not = {};
};

/// CHARACTERISTIC, AXIS_PTS and their TYPEDEFs.
struct RawObject {
    ParameterDescription made = {};
    Token name = {}, layout = {}, conversion = {};
    std::vector<RawAxis> axes = {};
    std::optional<std::string> unit = {};
    std::optional<bool> differences = {};  // of AXIS_PTS
    OrderWord order = OrderWord::none;
    std::optional<std::uint64_t> number = {};
    std::vector<std::size_t> matrix = {};
    std::string_view written = {};  // the whole block
    std::size_t sequence = 0;       // among the objects and instances of the module
};

struct RawMeasurement {
    InputDescription input = {};
    Token name = {}, conversion = {};
    std::optional<std::string> unit = {};
};

struct RawConversion {
    Token name = {}, kind = {}, table = {}, unit_ref = {};
    std::string unit = {};
    std::vector<double> coefficients = {}, linear = {};
    std::optional<std::string> formula = {};
    std::string why_not = {};  // of it something is not understood
};

struct RawTable {
    Token kind = {};
    TableConversion rows = {};
    std::string why_not = {};
};

struct RawWords {
    WordConversion rows = {};
    std::string why_not = {};
};

struct RawUnit {
    std::string display = {};
};

/// ALIGNMENT_BYTE, _WORD, _LONG, _INT64, _FLOAT16_IEEE ..: by the types they are for.
using Alignments = std::map<StoredType, std::size_t>;

struct RawLayout {
    Token name = {};
    RecordLayout layout = {};
};

struct RawComponent {
    Token name = {}, type = {};
    std::uint64_t offset = 0;
    std::vector<std::size_t> matrix = {};
    std::string why_not = {};
};

struct RawStructure {
    Token name = {};
    std::uint64_t size = 0;
    std::vector<RawComponent> components = {};
    std::string why_not = {};
};

struct RawOverwrite {
    Token name = {};
    std::uint64_t axis = 0;  // 0: the value
    std::optional<Token> conversion = {}, input = {};
    std::optional<std::pair<double, double>> limits = {};
    std::optional<std::string> unit = {};
};

struct RawInstance {
    RawComponent as = {};  // its name and type; the offset is its address
    std::string explained = {};
    unsigned address_extension = 0;
    std::vector<RawOverwrite> overwrites = {};
    std::size_t sequence = 0;
};

struct RawModule {
    Token name = {};
    std::deque<RawObject> objects = {};
    std::deque<RawMeasurement> measurements = {};
    std::deque<RawInstance> instances = {};
    Named<RawConversion> conversions = {};
    Named<RawTable> tables = {};
    Named<RawWords> words = {};
    Named<RawUnit> units = {};
    Named<RawLayout> layouts = {};
    Named<RawObject> object_types = {};  // TYPEDEF_CHARACTERISTIC, TYPEDEF_AXIS
    Named<RawMeasurement> measurement_types = {};
    Named<RawStructure> structures = {};
    std::unordered_set<std::string_view> variant_coded = {}, other_types = {};  // TYPEDEF_BLOB
    OrderWord order = OrderWord::none;
    std::optional<bool> differences = {};
    Alignments alignments = {};
    bool addresses_shifted = false;  // ECU_CALIBRATION_OFFSET
};

/// The first reason stays: one sentence is enough to see why a parameter is not written.
inline void because(std::string& why_not, std::string reason) {
    constexpr std::size_t kMost = 1000;  // a hostile word in it may be as long as the file
    if (why_not.empty()) why_not = reason.size() > kMost ? std::string(brief(reason)) : std::move(reason);
}

}  // namespace revwright::a2l
