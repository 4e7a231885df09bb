#pragma once

#include <string>

#include "book/book.h"

namespace revwright::app {

/// The book at a folder or a "postgresql://" address; empty: in the user's data folder.
Result<book::Book> open_book(const std::string& where);

}  // namespace revwright::app
