#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace revwright {

/// What kind of thing went wrong outside our control; `program` alone is ours: a self-check of the result failed.
enum class Fault { bad_input, not_found, conflict, io, program };

/// Where in the user's file. Lines and columns count from 1, 0 = not known; `byte` is set for files that have no lines.
struct Place {
    std::string file;
    std::size_t line = 0;
    std::size_t column = 0;
    std::optional<std::size_t> byte = {};
};

/// Something outside our control went wrong. A broken invariant of ours is an assert, not an Error.
struct Error {
    Fault fault = Fault::bad_input;
    std::string what;  // one sentence for the calibrator: what was expected, what was found
    std::optional<Place> place = {};
};

/// A value, or the reason why there is none.
template <class T>
using Result = tl::expected<T, Error>;

inline tl::unexpected<Error> fail(Fault fault, std::string what, std::optional<Place> place = {}) {
    return tl::unexpected(Error{fault, std::move(what), std::move(place)});
}

/// Shorthand for the commonest fault: an input that is not what it should be.
inline tl::unexpected<Error> refuse(std::string what, std::optional<Place> place = {}) {
    return fail(Fault::bad_input, std::move(what), std::move(place));
}

/// "file:line:column: what", with the parts that are known.
std::string describe(const Error& error);

}  // namespace revwright
