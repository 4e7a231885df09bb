#include "formats/a2l/include_path.h"

#include <algorithm>
#include <vector>

namespace revwright::a2l {
namespace {

bool is_slash(char c) { return c == '/' || c == '\\'; }

bool is_forbidden(char c) { return c == ':' || static_cast<unsigned char>(c) < ' ' || c == '\x7F'; }

/// Adds the folders of `path` to `parts`. False where ".." leads above the first.
bool follow(std::string_view path, std::vector<std::string_view>& parts) {
    while (!path.empty()) {
        const auto slash = std::ranges::find_if(path, is_slash);
        const std::string_view part(path.begin(), slash);
        path = slash == path.end() ? std::string_view() : path.substr(part.size() + 1);
        if (part.empty() || part == ".") continue;
        if (part != "..") {
            parts.push_back(part);
        } else if (parts.empty()) {
            return false;
        } else {
            parts.pop_back();
        }
    }
    return true;
}

}  // namespace

Result<std::string> include_path(std::string_view written, std::string_view including) {
    if (written.empty()) return refuse("expected the path of a file to include, found an empty one");
    if (is_slash(written.front()) || std::ranges::any_of(written, is_forbidden))
        return refuse("an included file is named from the folder of the description, without drive or machine");
    std::vector<std::string_view> parts;
    const std::size_t folder = including.rfind('/');
    if (folder != std::string_view::npos) follow(including.substr(0, folder), parts);
    if (!follow(written, parts)) return refuse("an included file lies in the folder of the description or below it");
    if (parts.empty() || is_slash(written.back()))
        return refuse("expected the path of a file to include, found a folder");
    std::string path;
    for (const std::string_view part : parts) {
        if (!path.empty()) path += '/';
        path += part;
    }
    return path;
}

}  // namespace revwright::a2l
