#include "book/happening_json.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <utility>

namespace revwright::book {
namespace {

using Json = nlohmann::json;

constexpr std::string_view kSeverities[] = {"clear", "watch", "mend", "stop"};

/// Writes the members of a happening, or reads them: one list of names for both ways.
class Writer {
public:
    explicit Writer(Json& json) : json_(json) {}
    void member(const char* name, const std::string& text) { json_[name] = text; }
    void member(const char* name, const std::uint64_t& number) { json_[name] = number; }
    void member(const char* name, const std::vector<std::string>& texts) { json_[name] = texts; }
    void member(const char* name, const Digest& digest) { json_[name] = to_hex(digest); }
    void member(const char* name, const Severity& severity) {
        json_[name] = kSeverities[static_cast<std::size_t>(severity)];
    }
    void member(const char* name, const KeptFile& file) { json_[name] = of_file(file); }
    void member(const char* name, const std::vector<KeptFile>& files) {
        json_[name] = Json::array();
        for (const KeptFile& file : files) json_[name].push_back(of_file(file));
    }

private:
    static Json of_file(const KeptFile& file) {
        return {{"name", file.name}, {"sha256", to_hex(file.digest)}, {"bytes", file.bytes}};
    }
    Json& json_;
};

/// Throws what nlohmann throws, or std::invalid_argument.
class Reader {
public:
    explicit Reader(const Json& json) : json_(json) {}
    void member(const char* name, std::string& text) { text = json_.at(name).get<std::string>(); }
    void member(const char* name, std::uint64_t& number) { number = number_of(json_.at(name)); }
    void member(const char* name, std::vector<std::string>& texts) {
        texts = json_.at(name).get<std::vector<std::string>>();
    }
    void member(const char* name, Digest& digest) { digest = digest_of(json_.at(name)); }
    void member(const char* name, Severity& severity) {
        const auto word = json_.at(name).get<std::string>();
        for (std::size_t i = 0; i < std::size(kSeverities); ++i)
            if (word == kSeverities[i]) return void(severity = static_cast<Severity>(i));
        throw std::invalid_argument(fmt::format("\"{}\" is no severity", word));
    }
    void member(const char* name, KeptFile& file) { file = file_of(json_.at(name)); }
    void member(const char* name, std::vector<KeptFile>& files) {
        for (const Json& file : json_.at(name)) files.push_back(file_of(file));
    }

private:
    static std::uint64_t number_of(const Json& json) {
        if (!json.is_number_unsigned()) throw std::invalid_argument("a count is no whole number");
        return json.get<std::uint64_t>();
    }
    static Digest digest_of(const Json& json) {
        const auto digest = digest_from_hex(json.get<std::string>());
        if (!digest) throw std::invalid_argument("a digest is not 64 hexadecimal digits");
        return *digest;
    }
    static KeptFile file_of(const Json& json) {
        return {json.at("name").get<std::string>(), digest_of(json.at("sha256")), number_of(json.at("bytes"))};
    }
    const Json& json_;
};

template <class Way, class What>
void each_member(Way& way, What& what) {
    using Kind = std::remove_const_t<What>;
    if constexpr (std::is_same_v<Kind, JobAdded>) {
        way.member("title", what.title);
        way.member("sheet", what.sheet);
        way.member("standard", what.standard);
        way.member("files", what.files);
    } else if constexpr (std::is_same_v<Kind, RunAdded>) {
        way.member("log", what.log);
        way.member("image", what.image);
        way.member("run", what.run);
        way.member("worst", what.worst);
        way.member("open", what.open);
        way.member("verdict", what.verdict);
    } else if constexpr (std::is_same_v<Kind, ProposalMade>) {
        way.member("proposal", what.proposal);
        way.member("parent", what.parent);
        way.member("moves", what.moves);
    } else if constexpr (std::is_same_v<Kind, RevisionApproved>) {
        way.member("image", what.image);
        way.member("record", what.record);
        way.member("proposal", what.proposal);
        way.member("parent", what.parent);
        way.member("cells", what.cells);
    } else if constexpr (std::is_same_v<Kind, RevisionReleased>) {
        way.member("image", what.image);
    } else if constexpr (std::is_same_v<Kind, FindingWaived>) {
        way.member("log", what.log);
        way.member("check", what.check);
        way.member("reason", what.reason);
    } else {
        static_assert(std::is_same_v<Kind, JobSigned>);
        way.member("image", what.image);
        way.member("reason", what.reason);
    }
}

constexpr std::string_view kKinds[] = {"job-added",         "run-added",      "proposal-made", "revision-approved",
                                       "revision-released", "finding-waived", "job-signed"};
static_assert(std::size(kKinds) == std::variant_size_v<Happening>);

template <std::size_t... I>
Happening empty_of(std::size_t kind, std::index_sequence<I...>) {
    Happening what;
    ((kind == I ? void(what.emplace<I>()) : void()), ...);
    return what;
}

}  // namespace

std::string_view kind_of(const Happening& what) { return kKinds[what.index()]; }

std::string record_of(const Happening& what) {
    Json json{{"what", kind_of(what)}};
    Writer writer(json);
    std::visit([&](const auto& kind) { each_member(writer, kind); }, what);
    // Names are the user's: what is no UTF-8 in them must not stop the book.
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Result<Happening> happening_of(std::string_view record) {
    try {
        const Json json = Json::parse(record);
        const auto kind = json.at("what").get<std::string>();
        for (std::size_t i = 0; i < std::size(kKinds); ++i) {
            if (kind != kKinds[i]) continue;
            Happening what = empty_of(i, std::make_index_sequence<std::variant_size_v<Happening>>());
            Reader reader(json);
            std::visit([&](auto& each) { each_member(reader, each); }, what);
            return what;
        }
        return refuse(
            fmt::format("expected a record of the book, found one of \"{}\", which this program does not know", kind));
    } catch (const std::exception& error) {
        return refuse(fmt::format("expected a record of the book, found that {}", error.what()));
    }
}

}  // namespace revwright::book
