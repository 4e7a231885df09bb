#pragma once

#include <gtest/gtest.h>
#include <map>
#include <string>

#include "formats/a2l/reader.h"

namespace revwright::a2l {

using IncludedFiles = std::map<std::string, std::string>;

/// Only what the test gives is there to include.
inline IncludeReader files(IncludedFiles given) {
    return [given](const std::string& path) -> Result<std::string> {
        const auto at = given.find(path);
        if (at == given.end()) return fail(Fault::not_found, "there is no such file");
        return at->second;
    };
}

inline constexpr const char* kCommon =
    "/begin MOD_COMMON \"\" BYTE_ORDER MSB_FIRST ALIGNMENT_BYTE 1 ALIGNMENT_WORD 2 ALIGNMENT_LONG 4 /end MOD_COMMON\n"
    "/begin RECORD_LAYOUT L_U8 FNC_VALUES 1 UBYTE ROW_DIR DIRECT /end RECORD_LAYOUT\n"
    "/begin RECORD_LAYOUT L_U16 FNC_VALUES 1 UWORD COLUMN_DIR DIRECT /end RECORD_LAYOUT\n";

/// `body` within a PROJECT and MODULE; it begins in line 2.
inline std::string module_of(const std::string& body) {
    return "ASAP2_VERSION 1 61 /begin PROJECT Harrow \"\" /begin MODULE Engine \"\"\n" + body +
           "\n/end MODULE /end PROJECT\n";
}

inline ParameterSet read_body(const std::string& body, IncludedFiles given = {}) {
    auto set = read(module_of(body), "harrow.a2l", files(std::move(given)));
    if (set) return *set;
    ADD_FAILURE() << describe(set.error());
    return {};
}

inline ParameterSet read_with_common(const std::string& body) { return read_body(kCommon + body); }

inline const ParameterDescription& named(const ParameterSet& set, const std::string& name) {
    static const ParameterDescription none;
    const ParameterDescription* const found = set.find(name);
    if (found == nullptr) ADD_FAILURE() << name << " is not in the set";
    return found != nullptr ? *found : none;
}

/// All notes in one text, to look for a part of it.
inline std::string notes(const ParameterSet& set) {
    std::string all;
    for (const std::string& note : set.notes) all += note + "\n";
    return all;
}

inline ::testing::AssertionResult holds(const std::string& text, const std::string& part) {
    if (text.find(part) != std::string::npos) return ::testing::AssertionSuccess();
    return ::testing::AssertionFailure() << "\"" << part << "\" is not in:\n" << text;
}

}  // namespace revwright::a2l
