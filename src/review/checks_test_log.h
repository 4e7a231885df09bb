#pragma once

#include <span>
#include <string>
#include <string_view>

#include "review/review.h"
#include "review/review_test_log.h"

// What tests of single checks share.
namespace revwright::testing {

inline Review review_log(const Log& log, const JobSheet& job = test_job(), const TableSet* tables = nullptr) {
    const DrivenLog driven{&log, nullptr, tables};
    return review(job, std::span(&driven, 1));
}

/// Two clean pulls but for the options.
inline Review review_pulls(const DriveOptions& options, const JobSheet& job = test_job()) {
    TestDrive drive(options);
    drive.clean_pulls(2);
    return review_log(drive.log(), job);
}

/// The worst finding of a check; nothing where it found none at all.
inline const Finding* worst(const Review& review, std::string_view check) {
    for (const Finding& found : review.findings)
        if (found.check == check) return &found;
    return nullptr;
}

inline Severity severity_of(const Review& review, std::string_view check) {
    const Finding* found = worst(review, check);
    return found ? found->severity : Severity::clear;
}

inline const NotChecked* unchecked(const Review& review, std::string_view check) {
    for (const NotChecked& entry : review.not_checked)
        if (entry.check == check) return &entry;
    return nullptr;
}

inline std::string accusations(const Review& review) {
    std::string all;
    for (const Finding& found : review.findings)
        if (found.severity != Severity::clear)
            all += found.check + " " + std::string(to_string(found.severity)) + ": " + found.text + "\n";
    return all;
}

}  // namespace revwright::testing
