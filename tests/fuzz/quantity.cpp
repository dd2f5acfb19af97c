// A number with its unit: what is read is finite, and reads the same again once it is printed with all its digits.
#include <cmath>
#include <string>

#include <fuzz/entrance.hpp>
#include <stile/base/quantity.hpp>

using namespace stile;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const Unit unit = static_cast<Unit>(data[0] % (static_cast<int>(Unit::degree) + 1));
  double value = 0.0;
  if (!fuzz::readable(data + 1, size - 1, [&](std::string_view text) { value = read_quantity(text, unit); })) return 0;
  fuzz::expect(std::isfinite(value), "a quantity that is not finite");
  double again = 0.0;
  try {
    again = read_quantity(print_quantity(value, unit, 17), unit);
  } catch (const ParseError&) {
    fuzz::fail("a printed quantity that cannot be read");
  }
  // Prefixes are powers of ten: rounded once each way.
  fuzz::expect(std::abs(again - value) <= 4e-16 * std::abs(value) + 1e-323, "a printed quantity reads as another");
  return 0;
}
