#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "formats/mdf4/budget.h"
#include "formats/mdf4/data_pieces.h"
#include "formats/mdf4/lost.h"
#include "formats/mdf4/piece_reader.h"
#include "formats/mdf4/plan.h"
#include "model/log.h"

namespace revwright::mdf4 {

/// A channel group once its records are read.
struct ReadGroup {
    const GroupPlan* plan = nullptr;
    std::vector<Channel> channels = {};            // without the time
    std::optional<std::vector<double>> time = {};  // in seconds, as recorded; where the group has its own
    std::size_t rows = 0;
};

/// The streams of one data group.
struct GroupStreams {
    DataPieces records;
    std::map<std::uint64_t, DataPieces> texts = {};  // by the link of the VLSD channel that has them
};

/// Reads the records of data groups into channels.
class DataGroupReader {
public:
    DataGroupReader(PieceReader& pieces, const Unfinished& unfinished, Budget& budget, Lost& lost)
        : pieces_(pieces), unfinished_(unfinished), budget_(budget), lost_(lost) {}
    /// One entry for each channel group that is neither texts nor skipped; without channels where it holds no record.
    std::vector<ReadGroup> read(const DataGroupPlan& plan, GroupStreams& streams);

private:
    class Work;
    PieceReader& pieces_;
    const Unfinished& unfinished_;
    Budget& budget_;
    Lost& lost_;
};

}  // namespace revwright::mdf4
