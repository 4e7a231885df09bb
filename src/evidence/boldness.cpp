#include "evidence/boldness.h"

namespace revwright {
namespace {

constexpr double kSame = 1e-9;

}  // namespace

std::vector<RoleTableRef> role_tables(const JobSheet& job, const TableSet& parent) {
    std::vector<RoleTableRef> found;
    if (!job.image) return found;
    for (const Role role : kEvidenceRoles) {
        const auto entry = job.image->roles.find(role);
        if (entry == job.image->roles.end()) continue;
        for (const RoleTable& row : entry->second)
            if (const Table* table = parent.find(row.table)) found.push_back({role, table, !row.when.empty()});
    }
    return found;
}

BoldnessMeter::BoldnessMeter(const DrivenLog& driven, const JobSheet& job, const TableSet& parent) {
    if (!driven.tables) {
        known_ = false;
        return;
    }
    same_image_ = driven.tables->image == parent.image;
    if (same_image_) return;
    for (const RoleTableRef& ref : role_tables(job, parent)) {
        const Table* then = driven.tables->find(ref.table->name());
        auto reader = TableReader::make(*driven.log, job.engine, *ref.table);
        if (!then || then->axes != ref.table->axes || !reader) {
            known_ = false;
            return;
        }
        pairs_.push_back({std::move(*reader), then});
    }
}

Boldness BoldnessMeter::at(double t) const {
    if (!known_) return Boldness::not_known;
    if (same_image_) return Boldness::as_parent;
    bool bolder = false;
    for (const Pair& pair : pairs_) {
        const auto x = pair.reader.point_at(t);
        if (!x) return Boldness::not_known;
        const double then = value_at(*pair.driven, *x);
        const double now = value_at(pair.reader.table(), *x);
        if (then < now - kSame) return Boldness::milder;
        bolder = bolder || then > now + kSame;
    }
    return bolder ? Boldness::bolder : Boldness::as_parent;
}

}  // namespace revwright
