#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "core/error.h"
#include "core/workers.h"
#include "model/log.h"

namespace revwright::mdf4 {

/// Whether it begins as files of this family do, finished or not; nothing more is looked at.
bool looks_like(std::span<const std::uint8_t> bytes);

/// Reads a measurement file of ASAM MDF 4: every channel group with its own time base, conversions applied, texts as
/// words. What is understood in part, cut short, or was left unfinished by its logger is read as far as it is whole and
/// said in Log::lost; records whose time does not rise are left out and noted in Log::quality.
///
/// Refused, with the byte: what is no MDF, MDF before version 4, blocks that are not what the link to them needs, that
/// overlap, run in a circle or do not end in the file, lengths that cannot be; a file without any record.
/// Costs: values of double size, two inflated blocks for each worker and a few tiles beside them; hostile counters are
/// held against the bytes that are there. Source: ASAM MDF 4.2 associated standard.
Result<Log> read(std::span<const std::uint8_t> bytes, const std::string& file, const Workers& workers = {});

}  // namespace revwright::mdf4
