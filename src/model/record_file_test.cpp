#include "model/record_file.h"

#include <gtest/gtest.h>
#include <string>

#include "core/hex.h"

namespace revwright {
namespace {

bool proves(std::string_view digits, RecordProof proof) {
    const auto bytes = bytes_from_hex(digits);
    return bytes && bytes->back() == proof_of(std::span(*bytes).first(bytes->size() - 1), proof);
}

// The first three: "Intel HEX" of Wikipedia, example records; the others: test vectors of the intelhex and bincopy
// projects. All recomputed.
TEST(RecordFile, TheProofOfPublishedHexRecords) {
    for (const char* record : {"1004E300CFF0FBE2FDF220FF20F2E120E2FBE6F396", "030000000205A254", "00000001FF",
                               "10010000214601360121470136007EFE09D2190140", "020000040800F2", "020000021200EA",
                               "0400000500000000F7", "04000005000000CD2A"})
        EXPECT_TRUE(proves(record, RecordProof::twos_complement)) << record;
    EXPECT_FALSE(proves("00000001FE", RecordProof::twos_complement));
}

// Test vectors of the bincopy project, recomputed; the last is its damaged one (FD would prove it).
TEST(RecordFile, TheProofOfPublishedSRecords) {
    for (const char* record : {"2500000100214601360121470136007EFE09D219012146017E17C20001FF5F16002148011973",
                               "0F000068656C6C6F202020202000003C", "030002FA", "030005F7", "03FFFFFE", "04010000FA",
                               "0500000000FA", "030000FC"})
        EXPECT_TRUE(proves(record, RecordProof::ones_complement)) << record;
    EXPECT_FALSE(proves("020011", RecordProof::ones_complement));
    EXPECT_TRUE(proves("0200FD", RecordProof::ones_complement));
}

}  // namespace
}  // namespace revwright
