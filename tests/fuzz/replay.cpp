// Runs a target over files: each file, or every file of each folder, on the command line. In the suite it replays the
// corpus with what fuzzing has found; it needs no fuzzer.
#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

/// The file mutator is linked and never called here.
extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t*, std::size_t size, std::size_t) { return size; }

int main(int argc, char** argv) {
  namespace fs = std::filesystem;
  std::vector<fs::path> files;
  for (int n = 1; n < argc; ++n) {
    if (fs::is_directory(argv[n])) {
      for (const auto& entry : fs::directory_iterator(argv[n])) files.push_back(entry.path());
    } else {
      files.emplace_back(argv[n]);
    }
  }
  std::sort(files.begin(), files.end());
  for (const fs::path& file : files) {
    std::ifstream stream(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    std::cerr << file.filename().string() << "\n";  // the last one named is the one that fails
    LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
  }
  std::cout << files.size() << " inputs replayed\n";
  return files.empty() ? 1 : 0;
}
