#include "image/crc.h"

#include <array>
#include <gtest/gtest.h>
#include <vector>

namespace revwright {
namespace {

struct CatalogueRow {
    const char* name;
    CrcParameters parameters;
    std::uint32_t check, zeros, ones;
};

constexpr std::uint32_t kAll = 0xFFFFFFFF;

// [CRC-catalogue]: parameters and the check value over "123456789". The values over 00 00 00 00 and FF FF FF FF were
// computed apart from this project, bit by bit.
constexpr CatalogueRow kCatalogue[] = {
    {"CRC-32/ISO-HDLC", {32, 0x04C11DB7, kAll, kAll, true}, 0xCBF43926, 0x2144DF1C, 0xFFFFFFFF},
    {"CRC-32/BZIP2", {32, 0x04C11DB7, kAll, kAll, false}, 0xFC891918, 0x38FB2284, 0xFFFFFFFF},
    {"CRC-32/MPEG-2", {32, 0x04C11DB7, kAll, 0, false}, 0x0376E6E7, 0xC704DD7B, 0x00000000},
    {"CRC-32/JAMCRC", {32, 0x04C11DB7, kAll, 0, true}, 0x340BC6D9, 0xDEBB20E3, 0x00000000},
    {"CRC-32/CKSUM", {32, 0x04C11DB7, 0, kAll, false}, 0x765E7680, 0xFFFFFFFF, 0x38FB2284},
    {"CRC-32C", {32, 0x1EDC6F41, kAll, kAll, true}, 0xE3069283, 0x48674BC7, 0xFFFFFFFF},
    {"CRC-32/AUTOSAR", {32, 0xF4ACFB13, kAll, kAll, true}, 0x1697D06A, 0x6FB32240, 0xFFFFFFFF},
    {"CRC-16/ARC", {16, 0x8005, 0, 0, true}, 0xBB3D, 0x0000, 0x9401},
    {"CRC-16/MODBUS", {16, 0x8005, 0xFFFF, 0, true}, 0x4B37, 0x2400, 0xB001},
    {"CRC-16/USB", {16, 0x8005, 0xFFFF, 0xFFFF, true}, 0xB4C8, 0xDBFF, 0x4FFE},
    {"CRC-16/UMTS", {16, 0x8005, 0, 0, false}, 0xFEE8, 0x0000, 0x8029},
    {"CRC-16/IBM-3740", {16, 0x1021, 0xFFFF, 0, false}, 0x29B1, 0x84C0, 0x1D0F},
    {"CRC-16/XMODEM", {16, 0x1021, 0, 0, false}, 0x31C3, 0x0000, 0x99CF},
    {"CRC-16/KERMIT", {16, 0x1021, 0, 0, true}, 0x2189, 0x0000, 0xF399},
    {"CRC-16/IBM-SDLC", {16, 0x1021, 0xFFFF, 0xFFFF, true}, 0x906E, 0xFCDE, 0x0F47},
    {"CRC-16/GENIBUS", {16, 0x1021, 0xFFFF, 0xFFFF, false}, 0xD64E, 0x7B3F, 0xE2F0},
};

// An initial value that is not its own mirror image shows that the catalogue gives it before reflection.
// [CRC-catalogue], typed from memory.
constexpr CatalogueRow kLopsided[] = {
    {"CRC-16/ISO-IEC-14443-3-A", {16, 0x1021, 0xC6C6, 0, true}, 0xBF05, 0, 0},
    {"CRC-16/RIELLO", {16, 0x1021, 0xB2AA, 0, true}, 0x63D0, 0, 0},
    {"CRC-16/TMS37157", {16, 0x1021, 0x89EC, 0, true}, 0x26B1, 0, 0},
};

constexpr std::array<std::uint8_t, 9> kDigits{'1', '2', '3', '4', '5', '6', '7', '8', '9'};

TEST(Crc, MatchesTheCatalogue) {
    for (const CatalogueRow& row : kCatalogue) {
        SCOPED_TRACE(row.name);
        EXPECT_EQ(crc(row.parameters, kDigits), row.check);
        EXPECT_EQ(crc(row.parameters, std::vector<std::uint8_t>(4, 0x00)), row.zeros);
        EXPECT_EQ(crc(row.parameters, std::vector<std::uint8_t>(4, 0xFF)), row.ones);
    }
}

TEST(Crc, InitialValueIsGivenBeforeReflection) {
    for (const CatalogueRow& row : kLopsided) EXPECT_EQ(crc(row.parameters, kDigits), row.check) << row.name;
}

TEST(Crc, OfNothingIsInitialAgainstFinal) {
    EXPECT_EQ(crc({32, 0x04C11DB7, kAll, kAll, true}, {}), 0u);
    EXPECT_EQ(crc({16, 0x1021, 0x1D0F, 0, false}, {}), 0x1D0Fu);
}

}  // namespace
}  // namespace revwright
