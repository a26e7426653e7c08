#include "shape/schema.h"

#include "shape/embedded.h"

#include <libxml/parser.h>
#include <libxml/relaxng.h>
#include <stdlib.h>
#include <string.h>

struct schema {
    xmlRelaxNGPtr rules;
};

/* What libxml2 says first is nearest to the cause. */
#if LIBXML_VERSION >= 21200
static void on_error(void *context, const xmlError *error)
#else
static void on_error(void *context, xmlError *error)
#endif
{
    struct rab_error *err = context;

    if (error->code == XML_ERR_NO_MEMORY)
        rab_fail_memory(err);
    else
        rab_fail_line(err, RAB_FAULT_INPUT, error->line, "the schema does not allow this: %.*s",
                      (int)strcspn(error->message ? error->message : "", "\n"),
                      error->message ? error->message : "");
}

struct schema *schema_open(struct rab_error *err)
{
    struct schema *schema = calloc(1, sizeof *schema);
    xmlRelaxNGParserCtxtPtr context;

    if (!schema) {
        rab_fail_memory(err);
        return NULL;
    }
    context = xmlRelaxNGNewMemParserCtxt((const char *)embedded_schema.bytes,
                                         (int)embedded_schema.length);
    if (context) {
        xmlRelaxNGSetParserStructuredErrors(context, on_error, err);
        schema->rules = xmlRelaxNGParse(context);
        xmlRelaxNGFreeParserCtxt(context);
    }
    if (!schema->rules) {
        free(schema);
        rab_fail_memory(err); /* the schema is ours, and a test reads it: only memory can be out */
        return NULL;
    }
    return schema;
}

void schema_close(struct schema *schema)
{
    if (schema)
        xmlRelaxNGFree(schema->rules);
    free(schema);
}

bool schema_check(struct schema *schema, const char *bytes, size_t length, struct rab_error *err)
{
    const int options =
        XML_PARSE_NONET | XML_PARSE_IGNORE_ENC | XML_PARSE_NOERROR | XML_PARSE_NOWARNING;
    struct rab_error found = {0};
    xmlRelaxNGValidCtxtPtr context = NULL;
    xmlDocPtr document;
    int result = -1;

    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        length -= 3;
    }
    document = xmlReadMemory(bytes, (int)length, NULL, "UTF-8", options);
    if (document)
        context = xmlRelaxNGNewValidCtxt(schema->rules);
    if (context) {
        xmlRelaxNGSetValidStructuredErrors(context, on_error, &found);
        result = xmlRelaxNGValidateDoc(context, document);
        xmlRelaxNGFreeValidCtxt(context);
    }
    xmlFreeDoc(document);
    if (result == 0)
        return true;
    if (result < 0 || found.fault == RAB_FAULT_NONE)
        return rab_fail_memory(err);
    return rab_fail_line(err, found.fault, found.line, "%s", found.text);
}
