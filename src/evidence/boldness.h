#pragma once

#include <vector>

#include "evidence/operating_points.h"
#include "model/driven.h"
#include "model/job.h"
#include "model/role.h"

namespace revwright {

/// The roles whose tables gather evidence and are proposed; for all three a higher value is the bolder one.
inline constexpr Role kEvidenceRoles[] = {Role::spark, Role::lambda_target, Role::boost_target};

/// A table of the parent that plays a role.
struct RoleTableRef {
    Role role = Role::spark;
    const Table* table = nullptr;
    bool conditional = false;  // read only under a condition that no log tells
};

/// The parent's tables of the three roles, in the order of kEvidenceRoles and of the job sheet.
std::vector<RoleTableRef> role_tables(const JobSheet& job, const TableSet& parent);

/// How a moment of a log was driven, compared with what the parent would have commanded there.
enum class Boldness { as_parent, bolder, milder, not_known };

/// Compares spark, lambda target and boost target of the image a log was driven with against the parent's, at the
/// operating point of each moment. Knock depends on all three, so evidence carries over only where none was milder.
class BoldnessMeter {
public:
    BoldnessMeter(const DrivenLog& driven, const JobSheet& job, const TableSet& parent);
    Boldness at(double t) const;

private:
    struct Pair {
        TableReader reader;
        const Table* driven;
    };
    std::vector<Pair> pairs_;
    bool known_ = true;
    bool same_image_ = false;
};

}  // namespace revwright
