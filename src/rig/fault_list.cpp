#include <algorithm>
#include <array>

#include "rig/drive.h"

namespace revwright::rig {

std::span<const FaultInfo> all_faults() {
    using enum Severity;
    static const std::array<FaultInfo, 20> list{{
        {"lean-at-full-load",
         "Around one engine speed the mixture is far leaner than its target.",
         {"lambda-lean"},
         {"lambda-follow", "knock-event", "knock-repeated", "knock-cylinder"},
         mend},
        {"lambda-off-target",
         "Around one engine speed the mixture stands steadily beside its target, on the rich side.",
         {"lambda-follow"},
         {},
         mend},
        {"single-knock", "One knock event in one cylinder, in one pull.", {"knock-event"}, {}, watch},
        {"knock-hot-spot", "A knock event in the same cell in every pull.", {"knock-repeated"}, {"knock-event"}, mend},
        {"one-cylinder-knocks",
         "One cylinder needs far more retard than the others.",
         {"knock-cylinder"},
         {"knock-event", "knock-repeated"},
         watch},
        {"low-boost", "Around one engine speed boost stays below its target.", {"boost-steady"}, {}, mend},
        {"high-boost",
         "Around one engine speed boost stays above its target.",
         {"boost-steady"},
         {"boost-overshoot", "knock-event", "knock-repeated", "knock-cylinder"},
         mend},
        {"boost-overshoot",
         "Boost overshoots when it first reaches its target.",
         {"boost-overshoot"},
         {"boost-steady", "knock-event", "knock-repeated", "knock-cylinder"},
         mend},
        {"throttle-closes",
         "The throttle closes under full pedal around one engine speed.",
         {"throttle-closing"},
         {"boost-steady", "boost-overshoot"},
         mend},
        {"fuel-pressure-drop", "Fuel pressure falls under load around one engine speed.", {"fuel-pressure"}, {}, mend},
        {"hot-intake",
         "The charge is far too hot around one engine speed.",
         {"intake-temperature"},
         {"intake-rise", "knock-event", "knock-repeated", "knock-cylinder"},
         mend},
        {"hot-exhaust", "The exhaust before the turbine is far too hot.", {"exhaust-temperature"}, {}, mend},
        {"hot-coolant",
         "The coolant overheats during the run.",
         {"coolant-window"},
         {"knock-event", "knock-repeated"},
         mend},
        {"hot-oil", "The oil overheats during the run.", {"oil-window"}, {}, mend},
        {"cold-oil", "The first pull is driven before the oil is warm.", {"oil-window"}, {}, watch},
        {"stuck-channel",
         "A channel that must move stands still through a pull.",
         {"log-quality"},
         {"lambda-follow", "lambda-lean", "boost-steady", "boost-overshoot", "air-consistency"},
         watch},
        {"log-gap", "Rows are missing in the middle of a pull.", {"log-quality"}, {"coverage"}, watch},
        {"sensor-dropout", "The lambda sensor gives no samples in the middle of a pull.", {"log-quality"}, {}, watch},
        {"pull-ends-early", "Every pull ends long before the engine's top speed.", {"coverage"}, {}, watch},
        {"pull-starts-late", "Every pull starts at a high engine speed.", {"coverage"}, {}, watch},
    }};
    return list;
}

const FaultInfo* fault_named(std::string_view name) {
    const auto list = all_faults();
    const auto found = std::ranges::find(list, name, &FaultInfo::name);
    return found == list.end() ? nullptr : &*found;
}

}  // namespace revwright::rig
