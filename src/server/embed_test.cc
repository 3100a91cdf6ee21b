// The page's files as cmake/Embed.cmake puts them into a library, against two outside libraries:
// zlib undoes the compression, OpenSSL's SHA-256 gives the ETag.
#include <gtest/gtest.h>
#include <openssl/sha.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <string>

#include "server/assets.h"

namespace runtrue {
namespace {

std::string file_text(const std::string& name) {
  std::ifstream file(std::string(RUNTRUE_TEST_PAGE) + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

const Asset* asset_at(std::string_view path) {
  const auto assets = page_assets();
  const auto found = std::find_if(assets.begin(), assets.end(),
                                  [&](const Asset& asset) { return asset.path == path; });
  return found == assets.end() ? nullptr : &*found;
}

std::string unpressed(std::string_view gzip) {
  z_stream stream{};
  EXPECT_EQ(inflateInit2(&stream, 16 + MAX_WBITS), Z_OK);  // 16: a gzip head
  std::string bytes(gzip);
  std::array<char, 4096> plain{};
  stream.next_in = reinterpret_cast<Bytef*>(bytes.data());
  stream.avail_in = static_cast<uInt>(bytes.size());
  stream.next_out = reinterpret_cast<Bytef*>(plain.data());
  stream.avail_out = static_cast<uInt>(plain.size());
  EXPECT_EQ(inflate(&stream, Z_FINISH), Z_STREAM_END);
  inflateEnd(&stream);
  return {plain.data(), stream.total_out};
}

std::string quoted_sha256(std::string_view bytes) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> sum{};
  SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), sum.data());
  std::string text = "\"";
  for (const unsigned char byte : sum) {
    text += "0123456789abcdef"[byte >> 4U];
    text += "0123456789abcdef"[byte & 15U];
  }
  return text + "\"";
}

TEST(Embed, TheTable_HoldsEveryFileOnceByItsPath) {
  EXPECT_EQ(page_assets().size(), 2U);
  ASSERT_NE(asset_at("/"), nullptr);
  ASSERT_NE(asset_at("/assets/main-1f2e.js"), nullptr);
  EXPECT_EQ(asset_at("/")->plain, file_text("/index.html"));
  EXPECT_EQ(asset_at("/assets/main-1f2e.js")->plain, file_text("/assets/main-1f2e.js"));
}

TEST(Embed, EveryFile_BearsItsKindItsSumAndWhetherItsNameChangesWithIt) {
  EXPECT_EQ(asset_at("/")->mime, "text/html; charset=utf-8");
  EXPECT_EQ(asset_at("/assets/main-1f2e.js")->mime, "text/javascript; charset=utf-8");
  EXPECT_FALSE(asset_at("/")->named_by_content);
  EXPECT_TRUE(asset_at("/assets/main-1f2e.js")->named_by_content);
  for (const Asset& asset : page_assets()) {
    EXPECT_EQ(asset.etag, quoted_sha256(asset.plain)) << asset.path;
  }
}

TEST(Embed, TheCompressedForm_IsThereWhereItIsShorterAndGivesTheFileBack) {
  const Asset* page = asset_at("/");
  ASSERT_FALSE(page->gzip.empty());
  EXPECT_LT(page->gzip.size(), page->plain.size());
  EXPECT_EQ(unpressed(page->gzip), page->plain);
  EXPECT_TRUE(asset_at("/assets/main-1f2e.js")->gzip.empty());
}

}  // namespace
}  // namespace runtrue
