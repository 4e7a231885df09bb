#include "wire/member.h"

namespace revwright::wire {

Member Member::operator[](const char* name) const {
    if (!value_.is_object()) throw Wrong{fmt::format("{} must be an object", path_)};
    const auto found = value_.find(name);
    if (found == value_.end()) throw Wrong{fmt::format("{} lacks \"{}\"", path_, name)};
    return {*found, path_ + "." + name};
}

double Member::real() const {
    if (!value_.is_number()) throw Wrong{fmt::format("{} must be a number", path_)};
    return value_.get<double>();
}

std::size_t Member::index() const {
    if (!value_.is_number_unsigned()) throw Wrong{fmt::format("{} must be a whole number from 0", path_)};
    return value_.get<std::size_t>();
}

std::string Member::text() const {
    if (!value_.is_string()) throw Wrong{fmt::format("{} must be a text", path_)};
    return value_.get<std::string>();
}

Digest Member::digest() const {
    const auto digest = digest_from_hex(text());
    if (!digest) refuse_with("must be 64 hexadecimal digits");
    return *digest;
}

void Member::expect_schema(const std::string& schema) const {
    const Member found = (*this)["schema"];
    if (found.text() != schema) found.refuse_with(fmt::format("must be \"{}\", found \"{}\"", schema, found.text()));
}

}  // namespace revwright::wire
