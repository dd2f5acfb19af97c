#include <catch2/catch.hpp>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include <unistd.h>

#include <stile/base/table.hpp>

using stile::Cell;
using stile::ParseError;
using stile::read_table;
using stile::read_text_file;
using stile::Table;

namespace {

void check_place(const Cell& cell, std::size_t line, std::size_t column) {
  INFO("cell <" << cell.text << ">");
  CHECK(cell.where.line == line);
  CHECK(cell.where.column == column);
}

void check_table_error(const std::string& text, const std::string& message, char separator = ',') {
  INFO("text <" << text << ">");
  CHECK_THROWS_WITH(read_table(text, "t.csv", separator), message);
  CHECK_THROWS_AS(read_table(text, "t.csv", separator), ParseError);
}

/// A folder of its own that goes when the test ends.
struct Folder {
  std::filesystem::path path = std::filesystem::temp_directory_path() / ("stile_table_" + std::to_string(::getpid()));
  Folder() { std::filesystem::create_directories(path); }
  ~Folder() { std::filesystem::remove_all(path); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
};

void write(const std::filesystem::path& path, const std::string& content) {
  std::ofstream(path, std::ios::binary) << content;
}

}  // namespace

TEST_CASE("a table is read with the place of each cell") {
  const Table table = read_table("band,frequency_hz\n40 m,7100000\n\n20 m,1.42e7\n", "bands.csv");
  CHECK(table.file == "bands.csv");
  REQUIRE(table.heading.size() == 2);
  REQUIRE(table.rows.size() == 2);
  CHECK(table.column("band") == 0);
  CHECK(table.column("frequency_hz") == 1);
  CHECK(table.has_column("band"));
  CHECK_FALSE(table.has_column("Band"));
  CHECK(table.text(0, "band") == "40 m");
  CHECK(table.number(0, "frequency_hz") == 7.1e6);
  CHECK(table.number(1, "frequency_hz") == 14.2e6);
  check_place(table.heading[0], 1, 1);
  check_place(table.heading[1], 1, 6);
  check_place(table.rows[0][1], 2, 6);
  check_place(table.rows[1][0], 4, 1);
  CHECK(table.rows[1][1].where.file == "bands.csv");
}

TEST_CASE("quotes follow RFC 4180") {
  const Table table = read_table("a,b,c\r\n\"x,y\",\"say \"\"hi\"\"\",\"two\r\nlines\"\r\n\"\",1,\"2\"\r\n", "t.csv");
  REQUIRE(table.rows.size() == 2);
  CHECK(table.text(0, "a") == "x,y");
  CHECK(table.text(0, "b") == "say \"hi\"");
  CHECK(table.text(0, "c") == "two\r\nlines");
  CHECK(table.text(1, "a") == "");
  CHECK(table.number(1, "c") == 2.0);
  check_place(table.rows[0][0], 2, 2);
  check_place(table.rows[0][1], 2, 8);
  check_place(table.rows[0][2], 2, 21);
  check_place(table.rows[1][0], 4, 2);  // the quoted line end counts as a line
  check_place(table.rows[1][1], 4, 4);
  check_place(table.rows[1][2], 4, 7);
}

TEST_CASE("comments blank lines and a byte order mark are skipped") {
  const Table table =
      read_table("\xEF\xBB\xBF# title, year, \"open\r\n\r\n   \na,b\n# between\n1,#2\n\n\"#3\",4\n# end", "t.csv");
  REQUIRE(table.rows.size() == 2);
  CHECK(table.text(0, "b") == "#2");
  CHECK(table.text(1, "a") == "#3");
  check_place(table.heading[0], 4, 1);
  check_place(table.rows[0][0], 6, 1);
  check_place(table.rows[1][1], 8, 6);
  check_place(read_table("\xEF\xBB\xBF"
                         "a,b\n",
                         "t.csv")
                  .heading[1],
              1, 3);
}

TEST_CASE("a mark of comment inside a quoted cell is text") {
  const Table table = read_table("a\n\"x\n# y\n\nz\"\n", "t.csv");
  REQUIRE(table.rows.size() == 1);
  CHECK(table.text(0, "a") == "x\n# y\n\nz");
}

TEST_CASE("the last line may lack its end and cells may be empty") {
  const Table table = read_table("a,b\n1,", "t.csv");
  REQUIRE(table.rows.size() == 1);
  CHECK(table.text(0, "b") == "");
  check_place(table.rows[0][1], 2, 3);
  CHECK(read_table("a", "t.csv").rows.empty());
  CHECK(read_table("a,b\n,\n", "t.csv").rows.size() == 1);
}

TEST_CASE("blanks belong to a cell but not to a number") {
  const Table table = read_table("a,b\n x , 5 \n", "t.csv");
  CHECK(table.text(0, "a") == " x ");
  CHECK(table.number(0, "b") == 5.0);
}

TEST_CASE("tabs and semicolons separate when asked for") {
  const Table tabs = read_table("a\tb\n1,5\t\n\t\n", "t.tsv", '\t');
  REQUIRE(tabs.rows.size() == 2);
  CHECK(tabs.text(0, "a") == "1,5");
  CHECK(tabs.text(1, "b") == "");
  CHECK(read_table("a;b\n1;2\n", "t.csv", ';').number(0, "b") == 2.0);
  CHECK_THROWS_AS(read_table("a b\n", "t.csv", ' '), stile::DomainError);
}

TEST_CASE("columns count bytes") {
  const Table table = read_table("\u03A9,b\n\u00B5,2\n", "t.csv");
  check_place(table.heading[1], 1, 4);
  check_place(table.rows[0][1], 2, 4);
}

TEST_CASE("a malformed table is refused with its place") {
  check_table_error("", "t.csv:1: no heading line: nothing but blank lines and comments");
  check_table_error("# only\n\n", "t.csv:3: no heading line: nothing but blank lines and comments");
  check_table_error("a,b,a\n", "t.csv:1:5: column \"a\" stands twice in the heading");
  check_table_error("a,b\n1\n", "t.csv:2:1: the row has 1 cell, the heading has 2 cells");
  check_table_error("a,b\n1,2\n1,2,3,4\n", "t.csv:3:5: the row has 4 cells, the heading has 2 cells");
  check_table_error("a\n1,2\n", "t.csv:2:3: the row has 2 cells, the heading has 1 cell");
  check_table_error("a,b\n1,\"two\n3,4\n", "t.csv:2:3: the quote is not closed");
  check_table_error("a,b\n1,\"two\"\"", "t.csv:2:3: the quote is not closed");
  check_table_error("a,b\n1,\"two\"x\n",
                    "t.csv:2:8: text after the closing quote; legal: the separator or the line's end");
  check_table_error("a,b\n1,t\"wo\"\n",
                    "t.csv:2:4: quote inside a cell that does not start with one; legal: \"a \"\"word\"\" in quotes\"");
  check_table_error("a,b\r1,2\r", "t.csv:1:4: carriage return without line feed; legal: LF or CR LF at a line's end");
}

TEST_CASE("a column that is not there is refused with those that are") {
  const Table table = read_table("# head\na,\"b c\"\n1,2\n", "t.csv");
  CHECK_THROWS_WITH(table.column("x"), "t.csv:2: no column \"x\"; there are: \"a\" \"b c\"");
  CHECK_THROWS_AS(table.column("x"), ParseError);
  CHECK_THROWS_AS(table.text(0, "x"), ParseError);
  CHECK_THROWS_AS(table.number(0, "x"), ParseError);
  CHECK_THROWS_WITH(Table{}.column("x"), "no column \"x\"; there are:");
}

TEST_CASE("a row that is not there is refused") {
  const Table table = read_table("a\n1\n", "t.csv");
  CHECK_THROWS_AS(table.text(1, "a"), stile::DomainError);
  CHECK_THROWS_WITH(table.number(1, "a"), "row must be less than the number of rows");
}

TEST_CASE("a cell that is not a number is refused with its place") {
  const Table table = read_table("a,b\n1,5 ohm\n\"0x10\",\n nan,1e5\n", "t.csv");
  CHECK_THROWS_WITH(table.number(0, "b"),
                    "t.csv:2:5: \"5 ohm\": unexpected \"ohm\" after the number; legal: a number without unit");
  CHECK_THROWS_WITH(table.number(1, "a"), "t.csv:3:2: \"0x10\": hexadecimal is not read; legal: a number without unit");
  CHECK_THROWS_WITH(table.number(1, "b"), "t.csv:3:8: \"\": a number is missing; legal: a number without unit");
  CHECK_THROWS_WITH(table.number(2, "a"), "t.csv:4:2: \"nan\": not a finite number; legal: a number without unit");
  CHECK(table.number(2, "b") == 1e5);
}

TEST_CASE("a file is read whole and unchanged") {
  const Folder folder;
  const std::string content = std::string("a,b\r\n1,\0\n", 9) + std::string(200000, 'x');
  write(folder.path / "t.csv", content);
  CHECK(read_text_file((folder.path / "t.csv").string()) == content);
  write(folder.path / "empty.csv", "");
  CHECK(read_text_file((folder.path / "empty.csv").string()).empty());
}

TEST_CASE("a file that cannot be read is refused with the reason") {
  const Folder folder;
  const std::string missing = (folder.path / "none.csv").string();
  CHECK_THROWS_WITH(read_text_file(missing), missing + ": cannot read: No such file or directory");
  CHECK_THROWS_AS(read_text_file(missing), ParseError);
  const std::string directory = folder.path.string();
  CHECK_THROWS_WITH(read_text_file(directory), directory + ": cannot read: Is a directory");
  CHECK_THROWS_AS(read_text_file(""), ParseError);
}

TEST_CASE("a minus sign reads standard input") {
  const Folder folder;
  write(folder.path / "in.txt", "a\n1\n");
  const int saved = ::dup(0);
  REQUIRE(saved >= 0);
  REQUIRE(std::freopen((folder.path / "in.txt").c_str(), "rb", stdin) != nullptr);
  const std::string content = read_text_file("-");
  CHECK(::dup2(saved, 0) == 0);
  ::close(saved);
  std::clearerr(stdin);
  CHECK(content == "a\n1\n");
}
