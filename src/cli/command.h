#pragma once

#include <CLI/App.hpp>
#include <functional>
#include <string_view>

#include "core/error.h"

namespace revwright::cli {

/// What a command's exit code tells other programs; the numbers are the contract's.
enum class Exit {
    done = 0,              // nothing stands in the way
    must_not_proceed = 1,  // done, and something must not proceed
    wrong_command = 2,
    input_refused = 3,
    fault = 4,
};

/// Each adds its command to the application. A command's callback stores its exit code in `exit`.
void add_inspect(CLI::App& app, Exit& exit);
void add_review(CLI::App& app, Exit& exit);
void add_power(CLI::App& app, Exit& exit);
void add_card(CLI::App& app, Exit& exit);
void add_propose(CLI::App& app, Exit& exit);
void add_build(CLI::App& app, Exit& exit);
void add_tables(CLI::App& app, Exit& exit);
void add_compare(CLI::App& app, Exit& exit);
void add_rig(CLI::App& app, Exit& exit);
void add_demo(CLI::App& app, Exit& exit);
void add_book(CLI::App& app, Exit& exit);
void add_serve(CLI::App& app, Exit& exit);

/// Prints the refusal on standard error and gives the code for it.
Exit refused(const Error& error);

/// Text to standard output.
void print(std::string_view text);
/// Words for the person at the terminal, apart from the document on standard output.
void tell(std::string_view text);

}  // namespace revwright::cli
