"""Lists come in pages of 50, or of `?page_size=` up to 200."""

from rest_framework.pagination import PageNumberPagination


class Pages(PageNumberPagination):
    page_size_query_param = "page_size"
    max_page_size = 200
