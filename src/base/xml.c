#include "base/xml.h"

#include <libxml/xmlerror.h>

const char *xml_complaint(int code)
{
    switch (code) {
    case XML_ERR_TAG_NAME_MISMATCH:
        return "an end tag closes another element than the one that is open";
    case XML_ERR_ATTRIBUTE_REDEFINED:
        return "an element has the same attribute twice";
    case XML_ERR_TAG_NOT_FINISHED:
    case XML_ERR_GT_REQUIRED:
    case XML_ERR_LTSLASH_REQUIRED:
        return "the file ends too early or a tag is not finished";
    case XML_ERR_DOCUMENT_EMPTY:
        return "the file does not begin with an element";
    case XML_ERR_DOCUMENT_END:
        return "something stands after the end of the root element";
    case XML_ERR_ATTRIBUTE_NOT_STARTED:
    case XML_ERR_ATTRIBUTE_WITHOUT_VALUE:
        return "the value of an attribute stands in quotation marks (width=\"3mm\")";
    case XML_ERR_ATTRIBUTE_NOT_FINISHED:
    case XML_ERR_LT_IN_ATTRIBUTE:
        return "the value of an attribute is not closed, or holds a < (write &lt;)";
    case XML_ERR_SPACE_REQUIRED:
        return "attributes need a blank between them";
    case XML_ERR_COMMENT_NOT_FINISHED:
        return "a comment is not closed";
    case XML_ERR_HYPHEN_IN_COMMENT:
        return "a comment holds two hyphens in a row";
    case XML_ERR_NAME_REQUIRED:
        return "a name is missing after \"<\" or \"&\" (write &lt; and &amp;)";
    case XML_ERR_ENTITYREF_SEMICOL_MISSING:
        return "a lone \"&\" (write &amp;)";
    case XML_ERR_INVALID_CHAR:
        return "a control character, which XML does not allow";
    case XML_ERR_ELEMCONTENT_NOT_FINISHED:
        return "an element declaration is not finished or too deep";
    case XML_ERR_ENTITY_LOOP:
        return "entities use each other";
    default:
        return NULL;
    }
}
