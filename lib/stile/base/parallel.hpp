#pragma once
// Work spread over threads by blocks.

#include <cstddef>
#include <functional>

namespace stile {

/// Calls work(first, last) for blocks of 0 .. count, each once, on up to `threads` threads (0: as many as the machine
/// has). Blocks are taken by whoever is free, so work must write only to its own places.
/// @throws DomainError  a block of 0
/// @throws what work throws, after every thread has ended
void in_blocks(std::size_t count, std::size_t block, unsigned threads,
               const std::function<void(std::size_t first, std::size_t last)>& work);

}  // namespace stile
