// Any bytes as a record of the book, and as packed bytes whose hash is right: refused, or what comes back is the same.
#include <cstdlib>
#include <string>
#include <string_view>

#include "book/happening_json.h"
#include "book/job_story.h"
#include "book/packed.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace revwright;
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    if (const auto what = book::happening_of(text)) {
        const std::string record = book::record_of(*what);
        const auto again = book::happening_of(record);
        if (!again || book::record_of(*again) != record) std::abort();
        const BookEntry entry{.number = 1, .draft = {"2026-03-14T09:30:00Z", "Ilse", "K-1", *what}};
        (void)book::stories_of({&entry, 1});
    }
    std::string packed;
    for (const std::uint8_t byte : sha256({data, size}).bytes) packed += static_cast<char>(byte);
    packed += text;
    (void)book::unpack(packed, Digest{});
    if (size < 10'000 && book::unpack(book::pack(text), sha256({data, size})).value() != text) std::abort();
    return 0;
}
