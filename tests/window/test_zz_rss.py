import pytest
def rss(): return int([l for l in open('/proc/self/status') if l.startswith('VmRSS')][0].split()[1])//1024
@pytest.mark.parametrize('i',range(8))
def test_one(window,qtbot,i):
    from PySide6.QtWidgets import QApplication
    open('/tmp/ship/rss.txt','a').write(f'{i} {rss()} {len(QApplication.allWidgets())}\n')
