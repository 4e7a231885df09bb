#include "model/record_file.h"

#include <numeric>

namespace revwright {

std::uint8_t proof_of(std::span<const std::uint8_t> counted, RecordProof proof) {
    const unsigned sum = std::accumulate(counted.begin(), counted.end(), 0u);
    return static_cast<std::uint8_t>(proof == RecordProof::twos_complement ? ~sum + 1 : ~sum);
}

}  // namespace revwright
