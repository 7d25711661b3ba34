#include "cli/rule_phrases.h"

#include "book/rules.h"
#include "nearmiss/phrases_load.h"
#include "report/phrases_page.h"

static const char prefix[] = "phrase:";

static bool names_phrase(const char *word) {
    return ap_str_starts(ap_str_from(word), ap_str_from(prefix));
}

bool ap_cli_about_phrases(const ap_cli *cli) {
    if (cli->word_count == 0) {
        return false;
    }
    const char *first = cli->words[0];
    return strcmp(first, "phrases") == 0 || strcmp(first, "try") == 0 || names_phrase(first) ||
           (strcmp(first, "set") == 0 && cli->word_count > 1 && names_phrase(cli->words[1]));
}

static ap_status find_rule(const ap_phrase_rule **out, const ap_phrase_set *set, const char *word, ap_error *err) {
    ap_str name = ap_str_from(word + sizeof prefix - 1);
    for (size_t i = 0; i < set->count; i++) {
        if (ap_str_equal_nocase(set->rules[i].name, name)) {
            *out = &set->rules[i];
            return AP_OK;
        }
    }
    return ap_error_set(err, AP_E_USAGE, "there is no phrase rule '%s'; 'afterpick rule phrases' lists them", word);
}

static ap_status write_json(ap_cli *cli, const ap_phrase_set *set, const ap_phrase_rule *only) {
    ap_json json;
    ap_cli_json(&json, cli);
    ap_phrases_json(&json, set, only);
    return ap_cli_json_end(cli);
}

/* The rules, one of them, or what they find in a text. */
static ap_status show(ap_cli *cli, const char *word, const char *text, ap_error *err) {
    ap_phrase_book *rules = NULL;
    const ap_phrase_rule *only = NULL;
    ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
    size_t count = 0;
    ap_status status = ap_phrase_book_load(&rules, cli->book, err);
    if (status == AP_OK && names_phrase(word)) {
        status = find_rule(&only, ap_phrase_book_set(rules), word, err);
    }
    if (status == AP_OK && text) {
        status = ap_phrases_find(hits, &count, ap_phrase_book_phrases(rules), ap_str_from(text), err);
    }
    if (status == AP_OK && cli->format == AP_CLI_JSON && !text) {
        status = write_json(cli, ap_phrase_book_set(rules), only);
    } else if (status == AP_OK) {
        ap_doc *doc = ap_cli_doc(cli, "Phrases", AP_STR_NONE);
        if (!doc) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
        } else {
            const ap_phrase_set *set = ap_phrase_book_set(rules);
            if (text) {
                ap_phrases_tried(doc, set, ap_str_from(text), hits, count);
            } else if (only) {
                ap_phrase_page(doc, only);
            } else {
                ap_phrases_page(doc, set);
            }
            status = ap_cli_write(cli, doc, err);
        }
    }
    ap_phrase_book_free(rules);
    return status;
}

/* One entry; several find= or leave= in one command are lines of one entry. */
static ap_status change_entry(ap_cli *cli, ap_str key, size_t from, ap_str name, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    ap_buf value;
    ap_buf_init(&value, 1u << 16);
    for (size_t w = from; w < cli->word_count; w++) {
        ap_str rest = AP_STR_NONE;
        ap_str other = ap_str_trim(ap_str_split(ap_str_from(cli->words[w]), '=', &rest));
        if (ap_str_equal(other, key) && rest.ptr) {
            ap_buf_append_cstr(&value, value.len ? "\n" : "");
            ap_buf_append_str(&value, ap_str_trim(rest));
        }
    }
    ap_status status = ap_buf_check(&value, "a phrase rule", err);
    if (status == AP_OK && ap_str_is_blank(ap_buf_str(&value))) {
        status = ap_error_set(err, AP_E_USAGE, "%.*s= of '%.*s' is blank", AP_STR_ARG(key), AP_STR_ARG(name));
    }
    if (status == AP_OK) {
        status = ap_book_rule_change_text(cli->book, name, key, ap_buf_str(&value), why, &author, err);
    }
    ap_buf_release(&value);
    return status;
}

static bool named_before(const ap_cli *cli, size_t word, ap_str key) {
    for (size_t w = 2; w < word; w++) {
        ap_str rest = AP_STR_NONE;
        if (ap_str_equal(ap_str_trim(ap_str_split(ap_str_from(cli->words[w]), '=', &rest)), key)) {
            return true;
        }
    }
    return false;
}

static ap_status change_entries(ap_cli *cli, ap_str why, ap_error *err) {
    ap_status status = AP_OK;
    ap_str name = ap_str_from(cli->words[1]);
    for (size_t w = 2; w < cli->word_count && status == AP_OK; w++) {
        ap_str rest = AP_STR_NONE;
        ap_str key = ap_str_trim(ap_str_split(ap_str_from(cli->words[w]), '=', &rest));
        bool known = ap_str_equal_word(key, "class") || ap_str_equal_word(key, "pattern") ||
                     ap_str_equal_word(key, "find") || ap_str_equal_word(key, "leave");
        if (!rest.ptr || !known) {
            return ap_error_set(err, AP_E_USAGE, "'%s' is not class=, pattern=, find= or leave=", cli->words[w]);
        }
        if (!named_before(cli, w, key)) {
            status = change_entry(cli, key, w, name, why, err);
        }
    }
    /* All rules are read again, this one with its lines: what does not pass is taken back with the transaction. */
    ap_phrase_book *rules = NULL;
    const ap_phrase_rule *entered = NULL;
    if (status == AP_OK) {
        status = ap_phrase_book_load(&rules, cli->book, err);
    }
    if (status == AP_OK) {
        status = find_rule(&entered, ap_phrase_book_set(rules), cli->words[1], err);
    }
    if (status == AP_OK) {
        status = ap_phrases_try_long(ap_phrase_book_set(rules), entered, err);
    }
    ap_phrase_book_free(rules);
    return status;
}

static ap_status change(ap_cli *cli, ap_error *err) {
    ap_str why;
    if (cli->word_count < 3 || strlen(cli->words[1]) < sizeof prefix) {
        return ap_error_set(err, AP_E_USAGE,
                            "a phrase rule is set by 'afterpick rule set phrase:NAME class=... pattern=... find=... "
                            "leave=... --why \"...\"'");
    }
    ap_status status = ap_cli_begin_change(&why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_end(cli->book, change_entries(cli, why, err), err);
    return status == AP_OK && !cli->quiet ? show(cli, cli->words[1], NULL, err) : status;
}

ap_status ap_cli_phrases(ap_cli *cli, ap_error *err) {
    const char *first = cli->words[0];
    if (strcmp(first, "set") == 0) {
        return change(cli, err);
    }
    bool tries = strcmp(first, "try") == 0;
    ap_status status = ap_cli_need_words(cli, tries ? 2 : 1, tries ? 2 : 1, tries ? "a note" : "a rule", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    return status == AP_OK ? show(cli, first, tries ? cli->words[1] : NULL, err) : status;
}
