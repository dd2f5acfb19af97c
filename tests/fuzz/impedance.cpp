// An impedance: finite, and the same again once it is printed.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <stile/base/quantity.hpp>

using namespace stile;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  cdouble z;
  if (!fuzz::readable(data, size, [&](std::string_view text) { z = read_impedance(text); })) return 0;
  fuzz::expect(std::isfinite(z.real()) && std::isfinite(z.imag()), "an impedance that is not finite");
  cdouble again;
  try {
    again = read_impedance(print_impedance(z, 17));
  } catch (const ParseError&) {
    fuzz::fail("a printed impedance that cannot be read");
  }
  fuzz::expect(again == z, "a printed impedance reads as another");
  return 0;
}
