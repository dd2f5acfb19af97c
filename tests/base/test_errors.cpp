#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>

using stile::DomainError;
using stile::ParseError;
using stile::Where;

TEST_CASE("a place reads as file line column with unknown parts left out") {
  CHECK(stile::to_string(Where{}) == "");
  CHECK(stile::to_string({"load.s1p", 0, 0}) == "load.s1p");
  CHECK(stile::to_string({"load.s1p", 7, 0}) == "load.s1p:7");
  CHECK(stile::to_string({"load.s1p", 7, 12}) == "load.s1p:7:12");
  CHECK(stile::to_string({"-", 1, 2}) == "-:1:2");
  CHECK(stile::to_string({"--frequency", 0, 5}) == "--frequency: column 5");
  CHECK(stile::to_string({"", 0, 5}) == "column 5");
}

TEST_CASE("a parse error carries its place in front of the message and as a value") {
  const ParseError error({"net.toml", 3, 9}, "no such key");
  CHECK(std::string(error.what()) == "net.toml:3:9: no such key");
  CHECK(error.where.file == "net.toml");
  CHECK(error.where.line == 3);
  CHECK(error.where.column == 9);
  CHECK(std::string(ParseError(Where{}, "no such key").what()) == "no such key");
}

TEST_CASE("require throws a domain error with its message only when the condition fails") {
  CHECK_NOTHROW(stile::require(true, "turns must be > 0"));
  CHECK_THROWS_AS(stile::require(false, "turns must be > 0"), DomainError);
  CHECK_THROWS_WITH(stile::require(false, "turns must be > 0"), "turns must be > 0");
}

TEST_CASE("every error of the library can be caught as one kind") {
  CHECK_THROWS_AS(throw ParseError({}, "x"), stile::Error);
  CHECK_THROWS_AS(throw DomainError("x"), stile::Error);
}

TEST_CASE("a NUL in a message does not end it") {
  const std::string message = "\"2" + std::string(1, '\0') + "0\" is no number";
  CHECK(std::string(ParseError({"a.csv", 2, 6}, message).what()) == "a.csv:2:6: \"2\\00\" is no number");
}

TEST_CASE("what a message quotes is told by its front and its end") {
  const std::string told = "\"" + std::string(1998, 'x') + "\"";
  CHECK(stile::shortened(told) == told);
  const std::string long_one = "\"" + std::string(5000, 'x') + "\" is no number";
  const std::string text = ParseError({"a.csv", 2, 6}, long_one).what();
  CHECK(text.starts_with("a.csv:2:6: \"xxx"));
  CHECK(text.find(" [... 3615 bytes ...] ") != std::string::npos);
  CHECK(text.ends_with("xxx\" is no number"));
  CHECK(stile::shortened(std::string(1 << 20, 'x')).size() <= 2000);
  CHECK(stile::shortened(text) == text);  // once is enough
  std::string signs;
  for (int n = 0; n < 1000; ++n) signs += "\u00e4\u03a9x";  // five bytes
  for (int n = 0; n < 5; ++n) {
    const std::string cut = stile::shortened(std::string(static_cast<std::size_t>(n), 'x') + signs);
    const std::size_t gap = cut.find(" [... ");
    REQUIRE(gap != cut.npos);
    const unsigned char before = static_cast<unsigned char>(cut[gap - 1]);
    CHECK((before == 'x' || before == 0xa4 || before == 0xa9));  // the last byte of one
    CHECK((static_cast<unsigned char>(cut[cut.find(" bytes ...] ") + 12]) & 0xC0U) != 0x80U);
  }
  // each of several faults is told
  const ParseError one({"a.csv", 2, 6}, long_one);
  CHECK(std::string(stile::ParseErrors({one, one}).what()) == text + "\n" + text);
}

TEST_CASE("several faults of a text stand in the order of their places, a line each") {
  const stile::ParseErrors two({ParseError({"net.toml", 7, 1}, "b"), ParseError({"net.toml", 3, 9}, "a")});
  REQUIRE(two.faults.size() == 2);
  CHECK(two.where.line == 3);
  CHECK(std::string(two.what()) == "net.toml:3:9: a\nnet.toml:7:1: b");
  CHECK(two.faults[1].where.line == 7);
  const stile::ParseErrors line({ParseError({"b", 3, 9}, "z"), ParseError({"a", 4, 1}, "y"),
                                 ParseError({"a", 3, 9}, "x"), ParseError({"a", 3, 2}, "w")});
  CHECK(std::string(line.what()) == "a:3:2: w\na:3:9: x\na:4:1: y\nb:3:9: z");
  CHECK_THROWS_AS(stile::ParseErrors({}), DomainError);
}
