#include "app/open_book.h"

#include <cstdlib>
#include <filesystem>

namespace revwright::app {
namespace {

/// Where programs of this user keep what is theirs. Source: XDG Base Directory Specification 0.8.
Result<std::filesystem::path> data_folder() {
    const char* told = std::getenv("XDG_DATA_HOME");
    if (told != nullptr && std::filesystem::path(told).is_absolute()) return std::filesystem::path(told) / "revwright";
    const char* home = std::getenv("HOME");
    if (home == nullptr || *home == '\0')
        return refuse("expected --book, or HOME to be set so that the user's own book can be found, found neither");
    return std::filesystem::path(home) / ".local" / "share" / "revwright";
}

}  // namespace

Result<book::Book> open_book(const std::string& where) {
    if (!where.empty()) return book::Book::open(where);
    const auto folder = data_folder();
    if (!folder) return tl::unexpected(folder.error());
    return book::Book::open((*folder / "book").string());
}

}  // namespace revwright::app
