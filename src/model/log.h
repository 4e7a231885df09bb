#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/channel.h"
#include "model/channel_sheet.h"
#include "numeric/series.h"

namespace revwright {

/// A channel of the file that is a clock; formats that have such channels (MDF 4) list it with the others.
struct ClockChannel {
    std::string name;
    std::string unit_in_log;
    std::size_t group = 0;  // as Channel::group
};

/// When the samples of a group of channels were taken: seconds on the log's own clock, strictly rising.
struct TimeBase {
    std::vector<double> seconds;
    std::vector<ClockChannel> listed_as = {};  // one for each group of the file that has these times
};

/// What a logger recorded of one quantity.
struct Channel {
    std::string name;                          // as in the log, without its unit
    std::string unit_in_log;                   // as in the log, empty where it gives none
    std::optional<ChannelKey> key;             // which canonical channel this is; nothing where it is none of ours
    std::string unit;                          // of `values`: the canonical unit once `key` is set, else the log's own
    std::size_t time_base = 0;                 // index into Log::time_bases
    std::vector<double> values;                // one per time of its base; NaN = no sample there
    std::vector<std::string> candidates = {};  // canonical names it may be, where that could not be settled
    std::vector<std::string> quality = {};     // "stuck", "clipped" ...: words of the log-quality check
    bool before_turbine = true;                // only for exhaust_temp_c: where the probe sits
    std::string doubt = {};                    // why the candidates could not be settled
    std::optional<ChannelRule> read_as = {};   // once `key` is set: name, unit and sign it was taken with
    std::optional<double> refresh_hz = {};     // how often its value is renewed, which a row may repeat; else unknown
    std::optional<double> resolution = {};     // the step its values are multiples of; nothing where none shows
    std::optional<std::size_t> group = {};     // which group of the file, from 0, where files have them (MDF 4)
    std::vector<std::string> texts = {};       // where not empty the channel holds words: `values` are indices into it
    bool repeated = false;                     // another group of the file has the same channel, renewed more often
};

/// The words that come up in a channel of words, first come first, and no more than `most` of them.
std::vector<std::string> words_in(const Channel& channel, std::size_t most);

/// A stretch of the log whose recording is at fault, or the whole of it.
struct QualityNote {
    std::string kind;  // "gap", "time-reversed", "time-repeated", "stuck" ...
    double start_s = 0.0;
    double end_s = 0.0;
    std::string text;
};

/// One log file. Each channel keeps its own time base; nothing is resampled on load.
struct Log {
    std::string file;
    std::string format;  // "csv", "mdf4"
    std::vector<TimeBase> time_bases;
    std::vector<Channel> channels;
    std::vector<QualityNote> quality = {};
    std::vector<std::string> lost = {};  // what could not be read, one sentence each
    std::string named_by = {};           // the channel sheet that was used, empty where none was

    const Channel* find(ChannelKey key) const;
    const Channel* find(Signal signal) const { return find(ChannelKey{signal, 0}); }
    /// The channel's samples over time. The views live as long as the log does.
    Series series(const Channel& channel) const;
    /// First and last time over all time bases; {0, 0} for a log without samples.
    struct Span {
        double start_s, end_s;
    };
    Span span() const;
};

}  // namespace revwright
