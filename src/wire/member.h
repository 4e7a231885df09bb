#pragma once

#include <fmt/format.h>
#include <string>

#include "wire/json.h"

namespace revwright::wire {

/// A member is missing or of the wrong kind. Thrown and caught inside the readers of this folder only.
struct Wrong {
    std::string what;
};

/// A JSON value with its path, so that a message can name the member.
class Member {
public:
    Member(const Json& value, std::string path) : value_(value), path_(std::move(path)) {}

    Member operator[](const char* name) const;
    template <class F>
    void each(F visit) const {
        if (!value_.is_array()) throw Wrong{fmt::format("{} must be a list", path_)};
        for (std::size_t i = 0; i < value_.size(); ++i) visit(Member(value_[i], fmt::format("{}[{}]", path_, i)));
    }
    double real() const;
    std::size_t index() const;
    std::string text() const;
    Digest digest() const;
    bool has(const char* name) const { return value_.is_object() && value_.contains(name); }
    /// Refuses unless the "schema" member names this schema.
    void expect_schema(const std::string& schema) const;
    [[noreturn]] void refuse_with(const std::string& what) const { throw Wrong{path_ + " " + what}; }

private:
    const Json& value_;
    std::string path_;
};

/// Parses the text and lets `read` take the document apart; whatever is wrong becomes an Error with its place.
template <class T, class Read>
Result<T> read_document(std::string_view text, const std::string& file, const std::string& what, Read read) {
    Json document;
    try {
        document = Json::parse(text);
    } catch (const Json::parse_error& error) {
        return refuse(fmt::format("expected a {} in JSON, found text that is none", what),
                      place_of(file, text, error.byte > 0 ? error.byte - 1 : 0));
    } catch (const Json::exception&) {
        return refuse(fmt::format("expected a {} in JSON, found a number out of range", what), Place{file});
    }
    try {
        return read(Member(document, what));
    } catch (const Wrong& wrong) {
        return refuse(wrong.what, Place{file});
    }
}

}  // namespace revwright::wire
