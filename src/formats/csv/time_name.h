#pragma once

#include <string>
#include <string_view>

namespace revwright::csv {

/// What a column's name says of time.
struct TimeName {
    bool is_time = false;
    bool is_date = false;        // "Date": holds the time only where its cells do
    std::string word = {};       // which word for time: "Time A" and "Time B" share theirs
    std::string_view unit = {};  // where the name holds one: "time_ms"
};

/// "time_s", "Zeit", "Engine run time", "Time A", "Time 2"; with the name of the column behind it also "Time rpm" and
/// "rpm time" before "rpm". One wrong letter is forgiven in names of eight letters and more.
TimeName time_name(std::string_view name, std::string_view name_behind = {});

/// "index", "row", "sample no": numbers the rows, and is the clock where there is no other.
bool names_a_counter(std::string_view name);

/// Whether a header cell names a time: "time_s", "Time [ms]", "Zeit" ...
bool names_time(std::string_view cell);

}  // namespace revwright::csv
