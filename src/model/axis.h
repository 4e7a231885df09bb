#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/channel.h"

namespace revwright {

/// Breakpoints of one table direction, in the unit of its channel: one or more, finite, strictly rising.
/// make() is the only door, so code that holds an Axis never checks it again.
class Axis {
public:
    static Result<Axis> make(std::string table, ChannelKey quantity, std::vector<double> points);
    ChannelKey quantity() const { return quantity_; }
    std::span<const double> points() const { return points_; }
    std::size_t size() const { return points_.size(); }
    friend bool operator==(const Axis&, const Axis&) = default;

private:
    Axis(ChannelKey quantity, std::vector<double> points) : quantity_(quantity), points_(std::move(points)) {}
    ChannelKey quantity_;
    std::vector<double> points_;
};

}  // namespace revwright
