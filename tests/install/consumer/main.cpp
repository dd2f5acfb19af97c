// Includes and links the installed library; the status is 0 when the answer is right.
#include <iostream>

#include <stile/base/errors.hpp>

int main() {
  const std::string text = stile::to_string({.file = "load.s1p", .line = 4, .column = 7});
  std::cout << text << '\n';
  return text == "load.s1p:4:7" ? 0 : 1;
}
