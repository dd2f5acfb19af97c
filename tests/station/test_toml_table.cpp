#include <optional>
#include <string>

#include <station/one_change.hpp>
#include <stile/base/errors.hpp>
#include <stile/station/detail/toml_table.hpp>

using namespace stile;
using namespace stile::station;
using detail::TomlTable;
using namespace stile::station::test;

namespace {

TomlTable document(const std::string& text) { return TomlTable::parse(text, "f.toml"); }

}  // namespace

TEST_CASE("a TOML table gives each kind of value") {
  const TomlTable t = document("a = \"text\"\nb = \"2 kHz\"\nc = 3\nd = 2.5\ne = \"12-230j\"\nf = 50\n"
                               "g = [\"1 m\", 2, 0.5]\nh = [\"x\", \"\"]\ni = true\n");
  CHECK(t.name() == "the file");
  CHECK(t.text("a") == "text");
  CHECK(t.quantity("b", Unit::hertz) == 2000.0);
  CHECK(t.quantity("c", Unit::watt) == 3.0);
  CHECK(t.positive("d", Unit::one) == 2.5);
  CHECK(t.impedance("e") == cdouble(12.0, -230.0));
  CHECK(t.impedance("f") == cdouble(50.0, 0.0));
  CHECK(t.positives("g", Unit::metre) == std::vector{1.0, 2.0, 0.5});
  CHECK(t.texts("h") == std::vector<std::string>{"x", ""});
  CHECK(t.flag("i", false));
  CHECK(t.flag("absent", true));
  CHECK_FALSE(t.flag("absent", false));
  CHECK(t.has("a"));
  CHECK_FALSE(t.has("absent"));
  CHECK_FALSE(t.find_text("absent"));
  CHECK_FALSE(t.find_positive("absent", Unit::one));
  CHECK_FALSE(t.find_not_negative("absent", Unit::one));
  CHECK_FALSE(t.find_table("absent"));
  CHECK(t.tables("absent").empty());
  CHECK(t.named_tables("absent").empty());
  CHECK(t.find_not_negative("c", Unit::one) == 3.0);
}

TEST_CASE("a TOML table outlives its document") {
  std::optional<TomlTable> inner;
  { inner = document("[a.b]\nc = 4\n").table("a").find_table("b"); }
  REQUIRE(inner);
  CHECK(inner->name() == "[a.b]");
  CHECK(inner->quantity("c", Unit::one) == 4.0);
}

TEST_CASE("rows of TOML tables keep their order and number") {
  const std::vector<TomlTable> rows = document("[[r]]\nn = 1\n[[r]]\nn = 2\n").tables("r");
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].name() == "[[r]] 1");
  CHECK(rows[1].name() == "[[r]] 2");
  CHECK(rows[1].quantity("n", Unit::one) == 2.0);
  const std::vector<TomlTable> one = document("[r]\nn = 1\n").tables("r");
  REQUIRE(one.size() == 1);
  CHECK(one[0].name() == "[r]");
}

TEST_CASE("a TOML table inside others is named in full") {
  const TomlTable t = document("[a]\nr = [{}, {}]\n[a.b.c]\nd = 1\n[[l]]\n[[l]]\n[l.w]\nx = {}\ns = [{}]\n[a.n.one]\n");
  CHECK(t.table("a").table("b").table("c").name() == "[a.b.c]");
  CHECK(t.table("a").tables("r")[1].name() == "[[a.r]] 2");
  CHECK(t.table("a").named_tables("n")[0].second.name() == "[a.n.one]");
  CHECK(t.tables("l")[1].table("w").name() == "[[l]] 2 w");
  CHECK(t.tables("l")[1].table("w").table("x").name() == "[[l]] 2 w x");
  CHECK(t.tables("l")[1].table("w").tables("s")[0].name() == "[[l]] 2 w s 1");
}

TEST_CASE("named TOML tables come with their names") {
  const auto named = document("[c.b]\nn = 1\n[c.a]\nn = 2\n").named_tables("c");
  REQUIRE(named.size() == 2);
  CHECK(named[0].first == "a");
  CHECK(named[0].second.name() == "[c.a]");
  CHECK(named[1].first == "b");
  CHECK(named[1].second.quantity("n", Unit::one) == 1.0);
}

TEST_CASE("a wrong TOML value is refused at its place") {
  const TomlTable t = document("a = 1\nb = \"x\"\nc = [\"1 m\", true]\n  d = [\"x\", 2]\ne = -1\nf = [{}, 3]\n");
  CHECK(parse_error([&] { t.text("a"); }) == "f.toml:1:5: \"a\" in the file must be a text, not a number");
  CHECK(parse_error([&] { t.text("z"); }) == "f.toml:1:1: the file needs the key \"z\"");
  CHECK(parse_error([&] { t.positives("c", Unit::metre); }) ==
        "f.toml:3:13: \"c\" in the file must be a finite number or a text with a unit such as \"1 m\", not true or "
        "false");
  CHECK(parse_error([&] { t.positives("a", Unit::metre); }) ==
        "f.toml:1:5: \"a\" in the file must be an array of values, such as [\"1 m\", \"2 m\"]");
  CHECK(parse_error([&] { t.texts("d"); }) == "f.toml:4:13: \"d\" in the file must hold texts only");
  CHECK(parse_error([&] { t.texts("a"); }) == "f.toml:1:5: \"a\" in the file must be an array of texts");
  CHECK(parse_error([&] { t.flag("b", true); }) == "f.toml:2:5: \"b\" in the file must be true or false");
  CHECK(parse_error([&] { t.positive("e", Unit::one); }) == "f.toml:5:5: \"e\" in the file is -1 and must be > 0");
  CHECK(parse_error([&] { t.find_not_negative("e", Unit::one); }) ==
        "f.toml:5:5: \"e\" in the file is -1 and must be >= 0");
  CHECK(parse_error([&] { t.find_table("a"); }) == "f.toml:1:5: \"a\" must be a table, not a number");
  CHECK(parse_error([&] { t.table("z"); }) == "f.toml:1:1: the file needs the table [z]");
  CHECK(parse_error([&] { t.tables("b"); }) == "f.toml:2:5: \"b\" must be tables [[b]], not a text");
  CHECK(parse_error([&] { t.tables("f"); }) == "f.toml:6:10: \"f\" must hold tables only");
  CHECK(parse_error([&] {
          t.only({"a", "b", "c", "d", "e"});
        }) == "f.toml:6:1: unknown key \"f\" in the file; legal: a, b, c, d, e");
  CHECK(parse_error([&] { t.fail("b", "wrong"); }) == "f.toml:2:5: wrong");
  CHECK(parse_error([&] { document("[c]\nx = 3\n").named_tables("c"); }) ==
        "f.toml:2:5: [c] holds named tables, such as [c.feeder]; \"x\" is none");
}

TEST_CASE("a table that only its inner tables define has a place") {
  const TomlTable a = document("\n[a.b]\nc = 1\n").table("a");
  const Where place = a.where("missing");
  CHECK(place.file == "f.toml");
  CHECK(place.line >= 1);
  CHECK(parse_error([&] { a.only({"x"}); }).rfind("f.toml:2:", 0) == 0);
}

TEST_CASE("text that is not TOML is refused at the place") {
  CHECK(parse_error([] { document("a = 1\na = 2\n"); }).rfind("f.toml:2:", 0) == 0);
  CHECK(parse_error([] { document("\xff\xfe"); }).rfind("f.toml:1:", 0) == 0);
  CHECK(parse_error([] { document("a = \n"); }).rfind("f.toml:1:5: ", 0) == 0);
  CHECK(parse_error([] { document(std::string("a = 1\n\0", 7)); }).rfind("f.toml:2:", 0) == 0);
}
