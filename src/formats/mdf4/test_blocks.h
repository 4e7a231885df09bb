#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

/// For tests and seeds only: MDF 4 bytes put together block by block, right or wrong as the test wants them.
/// Layouts: ASAM MDF 4.2 associated standard. It shares no code with the reader or the writer.
namespace revwright::mdf4::blocks {

using At = std::uint64_t;  // where a block begins, which is also what a link to it says; 0 = no link

/// Bytes one behind the other, little-endian unless the name says so.
class Raw {
public:
    Raw& u8(unsigned value) { return little(value, 1); }
    Raw& u16(unsigned value) { return little(value, 2); }
    Raw& u32(std::uint64_t value) { return little(value, 4); }
    Raw& u64(std::uint64_t value) { return little(value, 8); }
    Raw& i64(std::int64_t value) { return little(static_cast<std::uint64_t>(value), 8); }
    Raw& f32(float value);
    Raw& f64(double value);
    Raw& little(std::uint64_t value, std::size_t bytes);
    Raw& big(std::uint64_t value, std::size_t bytes);
    Raw& chars(std::string_view text);
    Raw& zeros(std::size_t count);
    Raw& raw(std::span<const std::uint8_t> more);
    std::span<const std::uint8_t> bytes() const { return bytes_; }
    std::size_t size() const { return bytes_.size(); }

private:
    std::vector<std::uint8_t> bytes_;
};

struct Identification {
    std::string_view file = "MDF     ";  // "UnFinMF " where the logger did not finish
    std::string_view version = "4.10    ";
    std::string_view program = "drive   ";
    unsigned version_number = 410;
    unsigned unfinished_flags =
        0;  // 1 cycle counters, 4 length of the last DT, 16 last DL, 32 bytes of VLSD groups, 64
    unsigned custom_flags = 0;
};

struct DataGroup {
    At data = 0;  // DT, DZ, DL, HL, DV or LD
    unsigned record_id_bytes = 0;
    At comment = 0;
};

struct ChannelGroup {
    std::uint64_t record_id = 0;
    std::uint64_t cycles = 0;
    unsigned flags = 0;  // 1 VLSD, 2 bus event, 8 remote master
    std::uint32_t data_bytes = 0;
    std::uint32_t invalidation_bytes = 0;
    At name = 0;
    At source = 0;
    At comment = 0;
    At master = 0;  // written where flags has 8
};

/// Kinds of channel, of synchronisation and of data, as the standard counts them.
enum ChannelType : std::uint8_t { kFixed, kVlsd, kMaster, kVirtualMaster, kSync, kMlsd, kVirtualData };
enum SyncType : std::uint8_t { kNoSync, kTime, kAngle, kDistance, kIndex };
enum DataType : std::uint8_t {
    kUnsigned,
    kUnsignedBig,
    kSigned,
    kSignedBig,
    kFloat,
    kFloatBig,
    kLatin1,
    kUtf8,
    kUtf16,
    kUtf16Big,
    kBytes,
    kMimeSample,
    kMimeStream,
    kCanopenDate,
    kCanopenTime,
    kComplex,
    kComplexBig,
};

struct ChannelBlock {
    unsigned type = kFixed;
    unsigned sync = kNoSync;
    unsigned data_type = kUnsigned;
    unsigned bit_offset = 0;
    std::uint32_t byte_offset = 0;
    std::uint32_t bit_count = 8;
    std::uint32_t flags = 0;  // 1 all invalid, 2 invalidation bit in use
    std::uint32_t invalidation_bit = 0;
    At name = 0;
    At unit = 0;
    At conversion = 0;
    At data = 0;  // SD, CG of the texts, or the length channel of an MLSD
    At composition = 0;
    At source = 0;
    At comment = 0;
};

struct Conversion {
    unsigned type = 0;
    std::vector<double> values = {};
    std::vector<At> refs = {};
    std::vector<std::uint64_t> raw_values = {};  // instead of `values`, for bit masks (type 11)
    At unit = 0;
    At name = 0;
    unsigned flags = 0;
};

/// A whole file as it grows: identification and header are there from the start, blocks come behind one another.
class Composer {
public:
    explicit Composer(const Identification& identification = {}, std::uint64_t start_time_ns = 0);

    /// Any block: id as in "DT", length and link count as they are. Begins at a multiple of 8.
    At block(std::string_view id, const std::vector<At>& links, const Raw& data);

    At text(std::string_view text, std::string_view id = "TX");
    At data_group(const DataGroup& group);
    At channel_group(const ChannelGroup& group);
    At channel(const ChannelBlock& channel);
    At conversion(const Conversion& conversion);
    At source(At name, unsigned type = 1, unsigned bus = 2);
    /// Records or texts as they are: DT, SD, DV, DI, RD.
    At data(std::string_view id, const Raw& bytes) { return block(id, {}, bytes); }
    /// Deflated; `columns` above 0: transposed over records of that many bytes first.
    At deflated(std::string_view original_id, const Raw& bytes, std::uint32_t columns = 0);
    At data_list(const std::vector<At>& parts, const std::vector<std::uint64_t>& offsets, At next = 0);
    At data_list_equal(const std::vector<At>& parts, std::uint64_t equal_length, At next = 0);
    At header_list(At first, unsigned zip_type = 0);
    /// LD of 4.2: blocks of values and, where given, of invalidation bytes.
    At list_of_values(const std::vector<At>& values, std::uint64_t equal_samples, const std::vector<At>& invalid = {});

    /// Link number `index` of the block at `owner` becomes `target`, whatever stands there.
    void set_link(At owner, std::size_t index, At target);
    At link(At owner, std::size_t index) const;
    /// Puts `member` at the end of the chain that begins at that link of the owner (next is link 0 of each).
    void chain(At owner, std::size_t index, At member);
    /// Overwrites bytes of the file, to say what is not so.
    void set(At at, const Raw& bytes);
    std::size_t size() const { return bytes_.size(); }
    void cut(std::size_t size) { bytes_.resize(size); }
    const std::vector<std::uint8_t>& bytes() const { return bytes_; }

    static constexpr At kHeader = 64;
    /// Links that chains hang from.
    static constexpr std::size_t kFirstGroupOfHeader = 0, kChannelGroupOfData = 1, kDataOfData = 2, kChannelOfGroup = 1;

private:
    std::vector<std::uint8_t> bytes_;
};

/// The commonest file in one call: one group, a time master (f64, seconds, bytes 0 to 7) and what the caller adds.
struct SimpleFile {
    Composer file;
    At group = 0;          // DG
    At channel_group = 0;  // CG
};
SimpleFile simple_file(std::uint64_t cycles, std::uint32_t data_bytes, std::uint32_t invalidation_bytes = 0,
                       const Identification& identification = {});

}  // namespace revwright::mdf4::blocks
