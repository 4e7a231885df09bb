#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace revwright {

/// Thresholds of one limit, each in the limit's unit; nothing where the limit has no such step.
/// `source` is printed with every finding. All defaults are common practice and have no published source.
struct Limit {
    std::string_view name;  // as a job sheet's [limits] spells it
    std::string_view unit;
    std::optional<double> watch = {};
    std::optional<double> mend = {};
    std::optional<double> stop = {};
    std::string source = "common practice, no source";
};

/// An override of the job sheet: `value` replaces the first threshold the limit has (mend where there is one, else
/// watch), and the others keep their distance from it.
struct LimitOverride {
    double value = 0.0;
    std::string reason;
};

/// Default limits. lambda_max depends on the aspiration: see lambda_max_default.
std::span<const Limit> default_limits();
double lambda_max_default(bool turbocharged);

/// The limits that hold for one job.
class Limits {
public:
    explicit Limits(bool turbocharged);
    void override_with(std::string_view name, const LimitOverride& change);
    /// name must be one of default_limits().
    const Limit& at(std::string_view name) const;
    static bool known(std::string_view name);

private:
    std::map<std::string, Limit, std::less<>> limits_;
};

}  // namespace revwright
