// Any bytes as S-record: what records_round_trip.h promises of both formats of records.
#include "formats/srec/reader.h"
#include "records_round_trip.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    return revwright::fuzz::try_records(revwright::srec::read, data, size);
}
