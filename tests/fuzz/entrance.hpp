#pragma once
// What every target does with a text: hand it to a reader; only a ParseError is a legal refusal.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <string_view>

#include <stile/base/errors.hpp>

namespace stile::fuzz {

/// Ends the program, so that the fuzzer keeps the input.
[[noreturn]] inline void fail(const char* what) {
  std::cerr << "fault: " << what << "\n";
  std::abort();
}

inline void expect(bool holds, const char* what) {
  if (!holds) fail(what);
}

/// Calls `read` with the text. @return  false: it was refused
template <class Read>
bool readable(const std::uint8_t* data, std::size_t size, const Read& read) {
  try {
    read(std::string_view(reinterpret_cast<const char*>(data), size));
    return true;
  } catch (const ParseError& error) {
    expect(*error.what() != '\0', "a refusal without a word");
    expect(std::string_view(error.what()).size() < 4096, "a message that quotes kilobytes");
    return false;
  }
}

}  // namespace stile::fuzz
