#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/happening.h"

namespace revwright::book {

/// The book's own record of what happened: JSON, its keys in order, so that the same happening has the same bytes. The
/// form is part of every entry's hash and is never changed; a new kind gets a new "what".
std::string record_of(const Happening& what);

/// Reads what record_of writes. Errors: anything else, in one sentence.
Result<Happening> happening_of(std::string_view record);

/// "job-added", "run-added" ...
std::string_view kind_of(const Happening& what);

}  // namespace revwright::book
