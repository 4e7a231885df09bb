#pragma once

#include "app/open_job.h"

namespace revwright::app {

/// Reads the compressor map each turbocharger of the sheet names. A map that is missing or not understood is an Error
/// that names the sheet and the map's own line.
Result<void> load_compressor_maps(OpenJob& job);

}  // namespace revwright::app
