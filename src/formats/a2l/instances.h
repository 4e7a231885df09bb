#pragma once

#include "formats/a2l/join.h"

namespace revwright::a2l {

/// How many parameters the structures of a description may become.
inline constexpr std::size_t kMostParameters = 100'000;

/// Takes the structures of INSTANCEs apart into parameters "instance.component", "instance[0].component".
class Instances {
public:
    Instances(ModuleJoin& join, ParameterSet& set, std::deque<Joined>& joined, Problems& problems)
        : join_(join), set_(set), joined_(joined), problems_(problems) {}

    void expand(const RawInstance& instance);

private:
    struct Prototype {
        Joined joined = {};
        std::size_t step = 0;  // from one to the next in an array; 0: not known
    };
    /// What holds for all that is in a structure.
    struct Around {
        std::string name = {};       // "engine.limits"
        std::string relative = {};   // "limits": as an OVERWRITE names it
        std::string structure = {};  // what THIS means: "engine"
        std::uint64_t address = 0;
        std::string why_not = {};
    };
    void place(const RawComponent& component, const Around& around);
    void place_one(const RawComponent& component, const Around& around);
    void structure(const RawStructure& structure, const Around& around);
    void parameter(const RawComponent& component, const Around& around);
    void overwrite(ParameterDescription& made, const Around& around);
    void apply(const RawOverwrite& change, ParameterDescription& made);
    void input(const RawMeasurement& measured, const Around& around);
    std::size_t step(const RawComponent& component);
    Prototype& prototype(const Token& type, RawObject& raw);
    void left_out(const Token& what, const std::string& why);

    ModuleJoin& join_;
    ParameterSet& set_;
    std::deque<Joined>& joined_;
    Problems& problems_;
    const RawInstance* instance_ = nullptr;
    std::vector<bool> overwritten_ = {};
    std::unordered_map<std::string_view, Prototype> prototypes_ = {};
    std::vector<const RawStructure*> open_ = {};  // the structures around the one at hand
    std::size_t visited_ = 0;
    bool full_ = false;
};

}  // namespace revwright::a2l
