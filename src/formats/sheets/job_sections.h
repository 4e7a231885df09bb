#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "formats/sheets/field.h"
#include "model/job.h"

// The sections of a job sheet, one file each. Every reader reports to `trouble` and then gives whatever it has.
namespace revwright::sheets {

/// Sentences on the values the sheet left to us.
using Defaults = std::vector<std::string>;

Car read_car(const Node& node, Trouble& trouble, Defaults& defaults);
Engine read_engine(const Node& node, Trouble& trouble, Defaults& defaults);
Fuel read_fuel(const Node& node, Trouble& trouble, Defaults& defaults);
Hardware read_hardware(const Node& node, Trouble& trouble);
std::vector<RunEntry> read_runs(std::span<const Node> nodes, Trouble& trouble);
Limits read_limits(const Node* node, bool turbocharged, Trouble& trouble);
Policy read_policy(const Node& node, Trouble& trouble);
/// section: "image" for the engine's control unit, "gearbox_image" for the gearbox's.
ImageEntry read_image(const Node& node, std::string_view section, Trouble& trouble, Defaults& defaults);
std::vector<ChecksumRegion> read_checksums(std::span<const Node> nodes, const std::string& path, Trouble& trouble);

}  // namespace revwright::sheets
