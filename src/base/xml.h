/* What libxml2 finds wrong, in words of our own. */
#ifndef RABBET_BASE_XML_H
#define RABBET_BASE_XML_H

/* Of an xmlError's code; NULL when there are none for it. */
const char *xml_complaint(int code);

#endif
