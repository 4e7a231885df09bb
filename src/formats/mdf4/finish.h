#pragma once

#include "formats/mdf4/column.h"
#include "formats/mdf4/lost.h"
#include "model/log.h"

namespace revwright::mdf4 {

/// Where the texts of VLSD columns come from.
struct SignalSource {
    const SignalTexts* texts = nullptr;
    bool by_index = false;  // the n-th record has the n-th text: an unfinished file's offsets do not count
};

/// The column as a channel of the log: conversions that give or take texts are done, words become indices into its
/// texts. A channel some samples of which are words holds words throughout, numbers among them written out; but where
/// the words are only a few status codes beside a scale it holds numbers, nothing where a status stands, and its
/// quality says "not-available".
Channel finish_column(Column column, const GroupPlan& group, const SignalSource& source, std::size_t& room_for_texts,
                      Lost& lost);

}  // namespace revwright::mdf4
