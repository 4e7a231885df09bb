#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/digest.h"
#include "model/channel.h"
#include "model/parameter.h"

namespace revwright {

/// One direction of a parameter, as it stands in an image.
struct ReadAxis {
    std::optional<ChannelKey> quantity = {};  // nothing where no channel of ours is known for it
    std::string input = {};                   // the measurement that indexes it, empty where there is none
    std::string unit = {};                    // of `values`: the channel's where that is known, else the description's
    std::vector<double> values = {};          // empty where they can not be told
    std::vector<std::string> words = {};      // instead of values, where the conversion holds words
    std::vector<double> raw = {};             // counts; of a fixed axis, those of the description

    std::size_t size() const { return raw.size(); }
};

/// One parameter of a description, as it stands in an image. Cells are counted row-major in the order of `shape`
/// (X first), however they lie in memory.
struct ReadParameter {
    std::string name = {};
    ParameterDescription::Kind kind = ParameterDescription::Kind::value;
    std::optional<ChannelKey> quantity = {};
    std::string unit = {};
    std::vector<std::size_t> shape = {};  // [] of a value; points of each axis; dimensions of a block
    std::vector<ReadAxis> axes = {};
    std::vector<double> values = {};                     // physical; NaN where one count has none
    std::vector<std::optional<std::string>> words = {};  // instead of values, where the conversion holds words
    std::optional<std::string> text = {};                // instead of both, of a text
    std::vector<double> raw = {};                        // counts; 64-bit ones are rounded to a double
    std::optional<double> min = {}, max = {}, resolution = {};
    bool writable = false;
    std::string why_not = {};  // one sentence where it is not writable, or could not be read

    bool has_values() const { return !values.empty() || !words.empty() || text.has_value(); }
};

/// All parameters of a description in one image, in the order of the file.
struct ParameterReading {
    Digest image = {};
    std::vector<ReadParameter> parameters = {};
};

/// Which channels of ours the numbers of a parameter are; nothing where that is not known.
struct ParameterQuantities {
    std::optional<ChannelKey> cells = {};
    std::vector<std::optional<ChannelKey>> axes = {};
};

}  // namespace revwright
