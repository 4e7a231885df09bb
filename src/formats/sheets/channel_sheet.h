#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/channel_sheet.h"

namespace revwright::sheets {

/// Reads a channel sheet (TOML, schema "revwright.channels/1"): what the channels of one logger are. Units are taken
/// apart from the word "gauge" but not judged here. Errors carry line and column.
Result<ChannelSheet> read_channel_sheet(std::string_view text, const std::string& file);

}  // namespace revwright::sheets
