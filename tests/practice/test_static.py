from practice.static import LedgerStaticFiles


def test_a_file_is_compressed_once_under_its_hashed_name(tmp_path):
    (tmp_path / "card.0123456789ab.css").write_text("td { color: black }\n" * 200)
    storage = LedgerStaticFiles(location=tmp_path)
    made = {compressed for _, compressed in storage.compress_files(["card.0123456789ab.css"])}
    assert made == {"card.0123456789ab.css.br", "card.0123456789ab.css.gz"}
    assert list(storage.compress_files(["card.0123456789ab.css"])) == []
