#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/network/cable.hpp>
#include <stile/network/ladder.hpp>

using namespace stile;

TEST_CASE("a line that fails inside a sweep throws and does not end the program") {
  const auto with_line = [](double length_m) { return Ladder{{{"feeder", Place::cascade, TransmissionLine{cable("RG-58"), length_m}, {}}}}; };
  CHECK_THROWS_AS(evaluate(with_line(1e6), {}, 7e6, 50.0), DomainError);           // its loss is beyond the range of numbers
  CHECK_THROWS_AS(evaluate(with_line(1.0), {}, 1e3, 50.0), DomainError);           // below the cable's model
  CHECK_THROWS_AS(evaluate_sweep(with_line(1e6), {}, {{1e6, 7e6}, {50.0, 50.0}, {}, {}}), DomainError);
  CHECK(evaluate(with_line(1.0), {}, 7e6, 50.0).swr < 1.1);
}
