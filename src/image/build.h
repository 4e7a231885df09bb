#pragma once

#include <span>

#include "core/error.h"
#include "image/parameter_places.h"
#include "model/description.h"
#include "model/image.h"
#include "model/job.h"
#include "model/proposal.h"
#include "model/revision.h"

namespace revwright {

/// The next image: the parent's bytes with the approved cells and no other, and the declared checksums settled.
///
/// Then read back: every approved cell reads as its `to`, every other cell and axis point is as it was, and no byte
/// outside approved cells and checksum stores differs. An Error of Fault::program if that fails: nothing is handed out.
/// No approvals: the parent's bytes exactly.
///
/// `others`: bytes of parameters that are not in `description`, as moves_only_itself takes them.
/// Refused: a proposal for another parent, a parent whose declared checksums do not match its own bytes, whatever
/// approved_cells and moves_only_itself refuse, tables or regions outside the image.
Result<BuiltImage> build(const Image& parent, const Description& description, std::span<const ChecksumRegion> regions,
                         const Proposal& proposal, std::span<const NamedBytes> others = {});

}  // namespace revwright
