#pragma once

#include <stdexcept>
#include <utility>

#include "core/error.h"
#include "formats/csv/reader.h"
#include "formats/csv/writer.h"
#include "naming/naming.h"

namespace revwright {

/// For tests and benchmarks: an input of our own making must be right.
template <class T>
T must(Result<T> result) {
    if (!result) throw std::runtime_error(describe(result.error()));
    return std::move(*result);
}

/// A log as a calibrator would get it: CSV text, read.
inline Log read_named(const std::string& csv_text, const std::string& file) {
    return must(name_channels(must(csv::read(csv_text, file)), nullptr));
}
inline Log through_csv(const Log& log) { return read_named(csv::write(log), log.file); }

}  // namespace revwright
